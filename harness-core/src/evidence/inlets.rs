//! What the rules on the two signal contacts of a charging inlet show alike: no controller, several, a return that is not protective earth.

use crate::{
    facts::{Facts, drive_gates::reading::PinLevel, pilot_circuits::SignalCircuit},
    finding::Finding,
    model::PointId,
    standards::charging_inlet::InletContact,
    text::Span,
    vocabulary::Role,
    wording::{list, quoted},
};

/// What the trade calls a signal contact.
#[must_use]
pub fn noun(contact: InletContact) -> &'static str {
    match contact {
        InletContact::Pilot => "control pilot",
        InletContact::Proximity => "proximity contact",
        InletContact::Line1 | InletContact::Line2 | InletContact::Line3 | InletContact::Neutral => "line",
        InletContact::Earth => "protective earth",
        InletContact::Plus | InletContact::Minus => "DC contact",
    }
}

/// The level of a pin, as a figure shows it.
#[must_use]
pub fn level(facts: &Facts, point: PointId, level: PinLevel) -> String {
    let name = facts.model().point_name(point);
    let is_signal = matches!(facts.model().role_at(point), Some(Role::Pilot | Role::Proximity));
    match level.volts {
        Some(volts) if is_signal => format!("{volts} at `{name}`"),
        Some(volts) => format!("{volts} at `{name}`, which reads high from {}", level.high_from),
        None => format!("nothing holds `{name}`"),
    }
}

/// The contact reaches no controller or several, or its controller has another return; `None` where all is well or reported elsewhere.
#[must_use]
pub fn unread(facts: &Facts, begin: impl Fn(Span, String) -> Finding, circuit: &SignalCircuit) -> Option<Finding> {
    let model = facts.model();
    let (name, what) = (model.point_name(circuit.point), noun(circuit.contact));
    if circuit.is_reported {
        return None;
    }
    if let Some(supply) = circuit.fed_by {
        let supply_name = model.point_name(supply);
        return Some(
            begin(model[circuit.point].span, format!("the {what} `{name}` is joined to the supply at `{supply_name}`"))
                .label("carries a signal of its own")
                .context(model[supply].span, "a supply")
                .help(format!("take the conductor that leads to `{supply_name}` off `{name}`"))
                .concerns(name)
                .concerns(supply_name),
        );
    }
    match circuit.controllers.as_slice() {
        [] => Some(
            begin(model[circuit.point].span, format!("the {what} `{name}` reaches no controller"))
                .label("its wires lead to no box that reads it")
                .help(format!("lead `{name}` to the {what} input of the charger or charge controller"))
                .concerns(name),
        ),
        [_] => other_return(facts, begin, circuit),
        [first, second, ..] => {
            let boxes: Vec<String> = circuit.controllers.iter().map(|(device, _)| quoted(model.device_name(*device))).collect();
            let way = circuit.ways.get(1).map(Vec::as_slice).unwrap_or_default();
            let finding = begin(
                model[circuit.point].span,
                format!("the {what} `{name}` reaches {} controllers: {}", boxes.len(), list(&boxes)),
            )
            .label("their resistors are side by side, and none reads the right level")
            .context(model[first.1].span, "first controller")
            .context(model[second.1].span, "second controller")
            .path(facts.network().names(circuit.point, way))
            .help(format!("lead `{name}` to one controller; others get what they need from that over the bus"))
            .concerns(name);
            Some(circuit.controllers.iter().fold(finding, |finding, (_, point)| finding.concerns(model.point_name(*point))))
        }
    }
}

fn other_return(facts: &Facts, begin: impl Fn(Span, String) -> Finding, circuit: &SignalCircuit) -> Option<Finding> {
    let model = facts.model();
    let (other, (device, pin)) = (circuit.other_return?, *circuit.controllers.first()?);
    let (name, what) = (model.point_name(circuit.point), noun(circuit.contact));
    let (device, pin, other_name) = (model.device_name(device), model.point_name(pin), model.point_name(other));
    Some(
        begin(model[other].span, format!("the {what} `{name}` has no return: no pin of `{device}` is joined to protective earth"))
        .label("leads elsewhere")
        .context(model[circuit.point].span, "its current goes back over the protective earth of the inlet")
        .help(format!("join `{other_name}` to the chassis at which the inlet's protective earth ends, or lead a wire from the inlet's PE to `{device}`"))
        .concerns(name)
        .concerns(pin)
        .concerns(other_name),
    )
}
