//! What signals or roles that meet say: the moves as an instruction, the cavities, and what two pins of a net name.

use crate::{
    facts::{Facts, pins::PinAt, signals::Rewire},
    finding::Finding,
    model::PointId,
    network::NetId,
    wording::list,
};

/// Nets of a meeting whose pins a finding concerns, and pins of each: enough to know the finding again.
const MOST_NETS: usize = 4;
const MOST_PINS: usize = 8;

/// The name of the cavity that meets a pin; that of the pin itself where no end is there.
#[must_use]
pub fn cavity_name(facts: &Facts, pin: PointId) -> String {
    facts.model().point_name(facts.wire_ends().cavity_at(facts.model(), pin).unwrap_or(pin))
}

/// What the moves are, as an instruction; `None` where there are none.
#[must_use]
pub fn instruction(facts: &Facts, rewires: &[Rewire]) -> Option<String> {
    let model = facts.model();
    let wire = |pin: PointId| facts.wire_ends().wire_at(model, pin).map(|end| format!("`{}`", model.wire_name(end.wire)));
    let cavity = |pin: PointId| format!("`{}`", cavity_name(facts, pin));
    match rewires {
        [] => None,
        [one] => Some(format!("move wire {} from {} to {}", wire(one.from)?, cavity(one.from), cavity(one.to))),
        [one, other] if one.from == other.to && one.to == other.from => Some(format!(
            "swap wires {} and {} in {} and {}",
            wire(one.from)?,
            wire(other.from)?,
            cavity(one.from),
            cavity(other.from)
        )),
        many => {
            let each: Option<Vec<String>> =
                many.iter().map(|one| Some(format!("{} to {}", wire(one.from)?, cavity(one.to)))).collect();
            Some(format!("move wires {}", list(&each?)))
        }
    }
}

/// Adds to a finding what two pins of a net say, the path between them, and what it concerns.
#[must_use]
pub fn meeting(facts: &Facts, mut finding: Finding, nets: &[NetId], one: &PinAt, other: &PinAt) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    for at in [one, other] {
        let pin = &model[at.pin];
        let said = pin.signal.map(|signal| signal.span).or(pin.role.map(|role| role.span));
        let name = model.point_name(at.point);
        let role = pin.role.map_or_else(String::new, |role| format!(", {}", role.value.word()));
        let signal = at.signal_name(model);
        let says = if signal.is_empty() { format!("`{name}`{role}") } else { format!("`{name}`: `{signal}`{role}") };
        finding = finding.context(said.unwrap_or(model[at.point].span), says);
    }
    let path = network.path(one.point, |point| point == other.point, |_, edge| edge.role.is_metal() || edge.role.runs_on(true));
    if let Some(path) = path {
        finding = finding.path(network.names(one.point, &path));
    }
    let pins = nets.iter().take(MOST_NETS).flat_map(|net| facts.pins().of(*net).iter().take(MOST_PINS));
    pins.fold(finding, |finding, pin| finding.concerns(model.point_name(pin.point)))
}
