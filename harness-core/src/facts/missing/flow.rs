//! Facts without which currents are not known, or rest on an assumption.

use super::{MissingFact, idle};
use crate::{
    electrical::ModeState,
    facts::Facts,
    model::{ElementKind, Model},
    network::{EdgeId, EdgeKind},
    standards::contact,
    vocabulary::Role,
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = Vec::new();
    if model.elements().any(|(_, element)| element.kind.is_source()) {
        findings.extend(facts.electrical().modes().filter_map(|mode| left_out(facts, mode)));
        findings.extend(facts.electrical().modes().filter_map(|mode| sourceless(facts, mode)));
        findings.extend(assumed(model));
        findings.extend(nameless_loads(facts));
        findings.extend(groundless(facts));
        findings.extend(idle::missing(facts));
    } else {
        findings.extend(no_source(model));
    }
    findings
}

/// One note for a design in which nothing can flow, instead of one for each load.
fn no_source(model: &Model) -> Option<MissingFact> {
    let (_, wire) = model.wires().next()?;
    let loom = &model[wire.loom];
    Some(MissingFact::new(
        loom.span,
        "currents, fuses and loads were not checked: the design has no source".to_owned(),
        "nothing feeds this loom",
        "add the battery or supply as a device with a `source` inside".to_owned(),
        // The whole design is concerned; the first loom only lends the place.
        "design".to_owned(),
    ))
}

/// A mode in which every source is off.
fn sourceless(facts: &Facts, mode: &ModeState) -> Option<MissingFact> {
    let model = facts.model();
    let is_on = |kind: &ElementKind| kind.is_source() && kind.modes().is_some_and(|modes| modes.has(mode.id));
    let name = model.mode_name(mode.id);
    (!model.elements().any(|(_, element)| is_on(&element.kind))).then(|| {
        MissingFact::new(
            model[mode.id].span,
            format!("nothing was judged in mode `{name}`: every source is off in it"),
            "a mode without a source",
            format!("add `{name}` to `in` of the source that is on in this mode, or leave the mode out"),
            name.to_owned(),
        )
    })
}

/// Elements that could not be computed with.
fn left_out(facts: &Facts, mode: &ModeState) -> Option<MissingFact> {
    let model = facts.model();
    let mode_name = model.mode_name(mode.id);
    let named = |edges: &[EdgeId]| {
        let mut names: Vec<String> = edges
            .iter()
            .filter_map(|edge| match facts.network()[*edge].kind {
                EdgeKind::Element(element) => Some(format!("`{}`", model.element_name(element))),
                EdgeKind::Wire(wire) => Some(format!("`{}`", model.wire_name(wire))),
                EdgeKind::Screen(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) => None,
            })
            .collect();
        names.dedup();
        names.truncate(6);
        names.join(", ")
    };
    let first = mode.refused.first()?;
    let edge = &facts.network()[*first];
    let span = match edge.kind {
        EdgeKind::Element(element) => model[element].span,
        EdgeKind::Wire(wire) => model[wire].span,
        EdgeKind::Screen(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) => model[edge.a].span,
    };
    Some(MissingFact::new(
        span,
        format!("mode `{mode_name}` was computed without {}", named(&mode.refused)),
        "has a value that cannot be used in a calculation",
        "give it a value above zero, between two different points".to_owned(),
        mode_name.to_owned(),
    ))
}

/// Loads that carry current and of whose voltage nothing is known, one note a device or loom.
fn nameless_loads(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let domains = facts.electrical().domains();
    let mut findings = Vec::new();
    let mut last = None;
    for (id, edge) in facts.network().edges() {
        let Some(element) = edge.element().filter(|_| edge.role.has_drop_limit()) else { continue };
        let item = &model[element];
        let runs = facts.electrical().modes().any(|mode| mode.amps(id).get() != 0.0);
        if !runs || domains.of(edge.a).is_some() || last.replace(item.owner) == Some(item.owner) {
            continue;
        }
        let owner = model.owner_name(item.owner).to_owned();
        findings.push(MissingFact::new(
            item.span,
            format!("the voltage drop to the loads of `{owner}` was not checked: no pin joined to them names a domain"),
            "of no known voltage",
            "add `domain` to the pins that feed it".to_owned(),
            owner,
        ));
    }
    findings
}

/// Sensors and bus nodes of which nobody says where their ground is.
fn groundless(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let devices = facts.electrical().groundless().iter();
    let notes = devices.map(|device| {
        let name = model.device_name(*device);
        let unchecked = |why: String| format!("whether other loads lift the ground of `{name}` was not checked: {why}");
        let pins = facts.pins().of_device(*device).iter();
        let nowhere = pins.filter(|pin| matches!(pin.role, Some(Role::Return | Role::SensorReturn)) && pin.domain.is_none());
        let (place, why, remedy) = match nowhere.map(|pin| pin.point).next() {
            Some(ground) => {
                let pin = model.point_name(ground);
                (model[ground].span, format!("its ground `{pin}` names no domain"), format!("add `domain` to `{pin}`"))
            }
            None => (
                model[*device].span,
                "none of its pins is its ground".to_owned(),
                format!("add `role: return` or `role: sensor return`, and `domain`, to the ground pin of `{name}`"),
            ),
        };
        MissingFact::new(place, unchecked(why), "sends or receives without a known ground", remedy, name.to_owned())
    });
    notes.collect()
}

/// Values that were taken because the design gives none.
fn assumed(model: &Model) -> Vec<MissingFact> {
    let mut findings = Vec::new();
    for (id, element) in model.elements() {
        let name = model.element_name(id);
        match &element.kind {
            ElementKind::Source { resistance: None, aged: None, .. } => findings.push(MissingFact::new(
                element.span,
                format!("the internal resistance of `{name}` is not given; 10 mohm is assumed"),
                "no `resistance`",
                format!("add `resistance` to `{name}`"),
                name,
            )),
            ElementKind::Relay { resistance: None, coil_of: None, .. } => {
                let usual = contact::coil_resistance();
                let lacking = MissingFact::new(
                    element.span,
                    format!("the coil resistance of `{name}` is not given; {} is assumed", usual.value),
                    "no `resistance`",
                    format!("add `resistance` to `{name}`"),
                    name,
                );
                findings.push(MissingFact { taken: Some(usual.to_string()), ..lacking });
            }
            // What these need is asked for elsewhere, or given by the format's own rules.
            ElementKind::Source { .. } | ElementKind::Relay { .. } | ElementKind::Load { .. } | ElementKind::Converter { .. } => {
            }
            ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) | ElementKind::Fuse { .. } => {}
            ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => {}
            ElementKind::Link { .. } | ElementKind::Interlock { .. } => {}
        }
    }
    findings
}
