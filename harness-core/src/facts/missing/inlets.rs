//! What is not known of charging inlets: their type, their lock, and whether the vehicle can drive off with the plug in.

use super::MissingFact;
use crate::{
    facts::{Facts, drive_gates::Unjudged, inlets::ChargingInlet, pilot_circuits::SignalCircuit},
    model::{ModeSet, PointId},
    standards::charging_inlet::InletContact,
    vocabulary::{Inlet, LoadKind, Role},
    wording::{list, quoted},
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let mut found = Vec::new();
    found.extend(no_inlet(facts));
    for inlet in facts.inlets() {
        found.extend(unknown_type(facts, inlet));
        found.extend(unknown_lock(facts, inlet));
        found.extend(unfed(facts, inlet));
        found.extend(unknown_earth(facts, inlet));
    }
    found.extend(unread_levels(facts));
    found.extend(drive(facts));
    found
}

/// A control pilot in a design without an inlet.
fn no_inlet(facts: &Facts) -> Option<MissingFact> {
    let model = facts.model();
    if !facts.inlets().is_empty() {
        return None;
    }
    let is_pilot = |point: PointId| model.role_at(point) == Some(Role::Pilot) && model.is_fitted(point);
    let (point, _) = model.points().find(|(point, _)| is_pilot(*point))?;
    let name = model.point_name(point);
    Some(MissingFact::new(
        model[point].span,
        format!("the charging inlet was not checked: `{name}` is a control pilot, and no device is an inlet"),
        "no inlet in this design",
        "state at the port of the inlet which one it is, such as `inlet: Type 2`, and name its contacts as the standard does or by `role`".to_owned(),
        name,
    ))
}

fn unknown_type(facts: &Facts, inlet: &ChargingInlet) -> Option<MissingFact> {
    let model = facts.model();
    if inlet.kind.is_some() {
        return None;
    }
    let name = model.port_name(inlet.port);
    Some(MissingFact::new(
        model[inlet.port].span,
        format!("the contacts and the lock of the charging inlet `{name}` were not checked: its type is not stated"),
        "a control pilot or proximity contact beside power contacts",
        format!("add `inlet` to `{name}`: `Type 1`, `Type 2`, `Combined 1` or `Combined 2`"),
        name,
    ))
}

/// A Type 2 inlet of which nothing is said of a lock; a combined one without a lock is a finding.
fn unknown_lock(facts: &Facts, inlet: &ChargingInlet) -> Option<MissingFact> {
    let model = facts.model();
    let has_lock = model[inlet.device].ports.iter().any(|port| model[port].lock.is_some());
    if has_lock || inlet.kind.is_none_or(|kind| kind.value != Inlet::Type2) {
        return None;
    }
    let name = model.port_name(inlet.port);
    Some(MissingFact::new(
        model[inlet.port].span,
        format!("whether the plug in `{name}` is locked while it charges was not checked: no lock is stated"),
        "a Type 2 inlet locks the plug (ISO 17409, from memory)",
        format!("add `lock: {{ motor: [pins], feedback: [pins] }}` to `{name}`"),
        name,
    ))
}

/// An inlet whose lines no source feeds: neither the currents of the charge nor the modes in which a plug is in are known. A design without any
/// source is asked for one as a whole.
fn unfed(facts: &Facts, inlet: &ChargingInlet) -> Option<MissingFact> {
    let model = facts.model();
    let has_source = model.elements().any(|(_, element)| element.kind.is_source());
    let (_, line) = *inlet.contacts.iter().find(|(contact, _)| contact.is_power())?;
    let is_drawn =
        inlet.plugged != ModeSet::default() || facts.network().around(line).any(|(_, edge, _)| edge.element().is_some());
    if !has_source || is_drawn || facts.wire_ends().reaching(model, line).is_none() {
        return None;
    }
    let name = model.port_name(inlet.port);
    Some(MissingFact::new(
        model[inlet.port].span,
        format!("the currents of the charge through `{name}` were not checked: no source feeds it in any mode"),
        "nothing is plugged in",
        format!(
            "draw what is plugged in as a `source` inside `{}`, at its contacts, `in` the modes in which the vehicle is charged",
            model.device_name(inlet.device)
        ),
        name,
    ))
}

/// Signal contacts whose controller is not drawn inside, one note for each inlet.
fn unread_levels(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut found = Vec::new();
    for (at, inlet) in facts.inlets().iter().enumerate() {
        let is_bare = |circuit: &&SignalCircuit| {
            circuit.inlet == at && circuit.drawn.is_empty() && !circuit.is_reported && circuit.controllers.len() == 1
        };
        let bare: Vec<&SignalCircuit> = facts.pilot_circuits().iter().filter(is_bare).collect();
        let Some((device, _)) = bare.first().and_then(|circuit| circuit.controllers.first()) else { continue };
        let pins: Vec<String> = bare
            .iter()
            .filter_map(|circuit| circuit.controllers.first())
            .map(|(_, pin)| quoted(model.point_name(*pin)))
            .collect();
        let (device, port) = (model.device_name(*device), model.port_name(inlet.port));
        found.push(MissingFact::new(
            model[inlet.port].span,
            format!("the levels at the signal contacts of `{port}` were not checked: nothing is drawn behind {}", list(&pins)),
            "leads to a controller of which nothing is drawn here",
            format!(
                "draw what is behind {} inside `{device}`: the diode and the resistors of the control pilot, the pull-up of the proximity contact",
                list(&pins)
            ),
            port,
        ));
    }
    found
}

/// An earth that ends at a pin of which neither the role nor what is behind it is stated, while the design has a chassis.
fn unknown_earth(facts: &Facts, inlet: &ChargingInlet) -> Option<MissingFact> {
    let model = facts.model();
    let end = inlet.earthing.open_end?;
    let (name, earth) = (model.point_name(end), inlet.contact(InletContact::Earth)?);
    let earth = model.point_name(earth);
    Some(MissingFact::new(
        model[end].span,
        format!(
            "whether the protective earth `{earth}` reaches the chassis was not checked: it ends at `{name}`, of which nothing is stated"
        ),
        "no role, and nothing drawn behind it",
        format!(
            "add `role: earth` to `{name}`, and draw what joins it to the chassis: a stud of role `earth` with its wire, or `case: bolted to chassis`"
        ),
        name,
    ))
}

/// What the drive is enabled by, with the plug in.
fn drive(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let Some(inlet) = facts.inlets().first() else { return Vec::new() };
    let gates = facts.drive_gates();
    if !gates.has_gates {
        return no_gates(facts, inlet).into_iter().collect();
    }
    let has_mode = facts.electrical().modes().any(|state| inlet.charges_in(model, state.id));
    if !has_mode {
        let name = model.port_name(inlet.port);
        return vec![MissingFact::new(
            model[inlet.port].span,
            format!("whether the vehicle can drive with a plug in `{name}` was not checked: no mode charges from it"),
            "no mode with `immobile: true`",
            "add a mode in which it charges, with `immobile: true`, and name it in the `in` of the charger".to_owned(),
            name,
        )];
    }
    gates.unjudged.iter().map(|unjudged| unjudged_gate(facts, *unjudged)).collect()
}

fn unjudged_gate(facts: &Facts, unjudged: Unjudged) -> MissingFact {
    let model = facts.model();
    const UNCHECKED: &str = "whether the vehicle can drive with the charging plug in was not checked";
    match unjudged {
        Unjudged::Decides(gate, decider) => {
            let (gate, name) = (model.device_name(gate), model.device_name(decider));
            MissingFact::new(
                model[decider].span,
                format!("{UNCHECKED}: `{name}` decides whether `{gate}` may drive, and no wire shows by what"),
                "decides it by itself",
                format!(
                    "state `inhibits: drive` at the pins of `{name}` by which it knows of the plug, such as its control pilot and proximity inputs; what comes \
                     over a bus can't be judged: have it tested on the vehicle"
                ),
                name.to_owned(),
            )
        }
        Unjudged::Message(point) => {
            let name = model.point_name(point);
            MissingFact::new(
                model[point].span,
                format!("{UNCHECKED}: what `{name}` says is in messages of a bus"),
                "a bus",
                "what comes over a bus can't be judged: lead a wire that inhibits the drive, or have it tested on the vehicle"
                    .to_owned(),
                name,
            )
        }
        Unjudged::Undrawn(point) => {
            let name = model.point_name(point);
            MissingFact::new(
                model[point].span,
                format!("{UNCHECKED}: nothing is drawn at `{name}`, which decides it"),
                "no element inside",
                format!(
                    "draw what is behind `{name}`: its switch with the modes in which it is closed, its pull-up or pull-down"
                ),
                name,
            )
        }
        Unjudged::MovedBy(element) => {
            let name = model.element_name(element);
            MissingFact::new(
                model[element].value_span,
                format!("{UNCHECKED}: whether the driver or the plug moves `{name}` is not known"),
                "in one position while it charges, in the other while it drives",
                "add a mode in which the vehicle is parked with nothing plugged in: a key is then as while it charges, a contact of the plug as while it drives"
                    .to_owned(),
                name,
            )
        }
        Unjudged::NeverEnabled(point) => {
            let name = model.point_name(point);
            MissingFact::new(
                model[point].span,
                format!("{UNCHECKED} from a mode in which it drives: `{name}` enables the drive in no mode"),
                "at its other level in every mode",
                format!(
                    "state the mode in which the vehicle drives, and close what leads to `{name}` in it; if it is active when low, add `active: low`"
                ),
                name,
            )
        }
    }
}

/// An inlet and a drive, and nothing that says what enables or inhibits the drive.
fn no_gates(facts: &Facts, inlet: &ChargingInlet) -> Option<MissingFact> {
    let model = facts.model();
    let is_phase = |point: PointId| model.role_at(point) == Some(Role::Phase) && model.is_fitted(point);
    let phase = model.points().map(|(point, _)| point).find(|point| is_phase(*point)).and_then(|point| model.device_at(point));
    let motor = || {
        model.elements().find_map(|(_, element)| {
            let is_motor = matches!(&element.kind, crate::model::ElementKind::Load { kind: Some(LoadKind::Motor), .. });
            let domain = facts.electrical().domains().of(*element.points.first()?)?;
            (is_motor && model[domain].is_class_b()).then(|| model.device_at(*element.points.first()?)).flatten()
        })
    };
    let device = phase.or_else(motor)?;
    let name = model.device_name(device);
    Some(MissingFact::new(
        model[device].span,
        format!(
            "whether `{name}` can drive with a plug in `{}` was not checked: no pin says what enables or inhibits the drive",
            model.port_name(inlet.port)
        ),
        "a drive",
        "state `enables: drive` at the input that releases the inverter, and `inhibits: drive` at the pins by which it or its controller knows of the plug".to_owned(),
        name.to_owned(),
    ))
}
