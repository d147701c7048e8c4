//! Protective earth mates first and breaks last; the control pilot mates last and breaks first.

use crate::{
    analysis::Analysis,
    facts::{Facts, inlets::ChargingInlet},
    finding::{Finding, Level},
    model::{EndKind, HousingId, PointId},
    network::NetId,
    rules::{Rule, RulePage},
    standards::charging_inlet::{InletContact, mating_order},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/mating-order",
        level: Level::Error,
        since: "0.1.0",
        finds: "a connector in which protective earth does not mate first, or the control pilot not last, as far as its housing says",
        docs: include_str!("mating_order.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.inlets().iter().flat_map(|inlet| of_inlet(facts, inlet)).collect()
}

/// The connectors on the conductors of the inlet's earth and pilot, each housing once.
fn of_inlet(facts: &Facts, inlet: &ChargingInlet) -> Vec<Finding> {
    let network = facts.network();
    let mut findings = Vec::new();
    let mut done: Vec<(HousingId, InletContact)> = Vec::new();
    let power: Vec<NetId> =
        inlet.contacts.iter().filter(|(contact, _)| contact.is_power()).map(|(_, point)| network.net(*point)).collect();
    let connectors = connectors(facts);
    for contact in [InletContact::Earth, InletContact::Pilot] {
        let Some(point) = inlet.contact(contact) else { continue };
        // The net of the earth is that of all grounds: only connectors that carry power of the inlet beside it are meant.
        for (housing, points) in &connectors {
            let at = points.iter().copied().find(|at| network.net(*at) == network.net(point));
            let has_power = points.iter().any(|at| power.contains(&network.net(*at)));
            let is_inlet = points.contains(&point);
            if let Some(at) = at.filter(|_| (has_power || is_inlet) && !done.contains(&(*housing, contact))) {
                done.push((*housing, contact));
                findings.extend(judged(facts, contact, if is_inlet { point } else { at }, *housing));
            }
        }
    }
    findings
}

/// The connectors of which the housing states an order: those of devices, then those of looms.
fn connectors(facts: &Facts) -> Vec<(HousingId, Vec<PointId>)> {
    let model = facts.model();
    let ports = model.ports().filter_map(|(_, port)| Some((port.housing()?, port.points.iter().collect())));
    let ends = model.ends().filter_map(|(_, end)| match end.kind {
        EndKind::Connector(Some(housing)) => Some((housing, end.points.iter().collect())),
        EndKind::Connector(None) | EndKind::Ring(_) | EndKind::Bare => None,
    });
    let states = |housing: HousingId| !model[housing].mates_first.is_empty() || !model[housing].mates_last.is_empty();
    ports.chain(ends).filter(|(housing, _)| states(*housing)).collect()
}

fn judged(facts: &Facts, contact: InletContact, point: PointId, housing: HousingId) -> Option<Finding> {
    let model = facts.model();
    let (item, label) = (&model[housing], model[point].label);
    let (first, last) = (&item.mates_first, &item.mates_last);
    let fault = match contact {
        InletContact::Earth if last.contains(&label) => "mates last and breaks first",
        InletContact::Earth if !first.is_empty() && !first.contains(&label) => "does not mate first: others do",
        InletContact::Pilot if first.contains(&label) => "mates first and breaks last",
        InletContact::Pilot if !last.is_empty() && !last.contains(&label) => "does not mate last: others do",
        _ => return None,
    };
    let (name, housing_name) = (model.point_name(point), model.text(item.name));
    let (what, key) = match contact {
        InletContact::Earth => ("protective earth", "mates-first"),
        _ => ("control pilot", "mates-last"),
    };
    let mut finding = RULE
        .finding(item.span, format!("the {what} `{name}` {fault}"), [])
        .label(format!("the order of `{housing_name}`"))
        .context(model[point].span, format!("the {what}"))
        .figure("source", mating_order())
        .help(format!(
            "put the {what} into the contact of `{housing_name}` that mates {}, or state the order of the housing as it is: `{key}: [ {} ]`",
            if contact == InletContact::Earth { "first" } else { "last" },
            model.text(label)
        ))
        .concerns(name)
        .concerns(housing_name);
    if contact == InletContact::Earth {
        finding.stated = Level::Danger;
    }
    Some(finding)
}
