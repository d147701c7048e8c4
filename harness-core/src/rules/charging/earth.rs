//! The protective earth of a charging inlet reaches the chassis over metal alone.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        bonds::{Goal, Needs},
        inlets::ChargingInlet,
    },
    finding::{Finding, Level},
    model::{ElementId, PointId},
    rules::{Rule, RulePage},
    standards::{bonding::continuity, charging_inlet::InletContact},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/earth",
        level: Level::Danger,
        since: "0.1.0",
        finds: "the protective earth of a charging inlet that does not reach the chassis, or over a switch or fuse",
        docs: include_str!("earth.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.inlets().iter().filter_map(|inlet| earth(facts, inlet)).collect()
}

fn earth(facts: &Facts, inlet: &ChargingInlet) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let point = inlet.contact(InletContact::Earth)?;
    let is_chassis = |at: PointId| model.device_at(at).is_some_and(|device| model[device].chassis && model[device].fitted);
    let has_chassis = model.devices().any(|(_, device)| device.chassis && device.fitted);
    if !has_chassis
        || facts.unconnected().contains(&point)
        || inlet.earthing.reaches_chassis
        || inlet.earthing.open_end.is_some()
        || is_judged(facts, inlet, point)
    {
        return None;
    }
    let name = model.point_name(point);
    let way = network.path(point, is_chassis, |_, edge| edge.role.conducts_when_closed());
    let opens = way.as_ref().and_then(|way| opens(facts, way.iter().map(|step| step.edge)));
    if opens.is_some_and(|element| facts.opened_earths().iter().any(|opened| opened.element == element)) {
        return None;
    }
    let mut finding = RULE
        .finding(model[point].span, format!("the protective earth `{name}` of the inlet does not reach the chassis"), [])
        .label("its conductors lead nowhere else")
        .figure("limit", continuity())
        .help(format!("wire `{name}` to a stud of the chassis, with no switch and no fuse on the way"))
        .concerns(&name);
    if let (Some(element), Some(way)) = (opens, way) {
        let opener = model.element_name(element);
        finding.headline = format!("the protective earth `{name}` of the inlet reaches the chassis over `{opener}` only");
        finding.primary.text = "cut off once that opens".to_owned();
        finding = finding
            .context(model[element].value_span, "a protective conductor has no switch and no fuse")
            .path(network.names(point, &way))
            .help(format!("join the two sides of `{opener}` solidly, with a `link`"))
            .concerns(opener);
    }
    Some(finding)
}

/// What opens a way, other than metal.
fn opens(facts: &Facts, mut way: impl Iterator<Item = crate::network::EdgeId>) -> Option<ElementId> {
    way.find_map(|edge| facts.network()[edge].element().filter(|_| !facts.network()[edge].is_metal()))
}

/// Whether the bonds of the design are judged at this point: what is wrong with it is a finding there.
fn is_judged(facts: &Facts, inlet: &ChargingInlet, point: PointId) -> bool {
    let bonds = facts.bonds();
    let of_inlet = bonds.boxes.iter().filter(|one| one.device == inlet.device && one.needs != Needs::Nothing);
    bonds.goal == Goal::Chassis && of_inlet.flat_map(|one| &one.earths).any(|earth| earth.point == point && earth.is_earth)
}
