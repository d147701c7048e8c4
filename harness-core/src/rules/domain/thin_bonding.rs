//! The case of a box with voltage class B is bonded to the chassis as thickly as its live conductors ask for.

use crate::{
    analysis::Analysis,
    electrical::conductors::{conductor::resistance_of, joint::joint},
    evidence::remedies,
    finding::{Finding, Level, Worse},
    model::{DeviceId, Model, Pin, PointId, WireId},
    network::{Network, Walk},
    quantity::{Ohm, SquareMillimetre},
    rules::{Rule, RulePage},
    standards::bonding::{continuity, least_size},
    vocabulary::Role,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/thin-bonding",
        level: Level::Error,
        since: "0.1.0",
        finds: "a bond or protective earth thinner than the live conductors of its box ask for, or above 0.1 ohm",
        docs: include_str!("thin_bonding.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let mut boxes = Vec::new();
    for (device, item) in model.devices() {
        let points = || item.ports.iter().flat_map(|port| model[port].points.iter());
        let pin = |point: PointId| model[point].pin.map(|pin| &model[pin]);
        let is_earth = |pin: &Pin| pin.role.is_some_and(|role| role.value == Role::Earth);
        let is_live = |pin: &Pin| !is_earth(pin) && pin.domain.is_some_and(|(domain, _)| model[domain].is_class_b());
        let earth = points().find(|point| pin(*point).is_some_and(is_earth));
        let live = points().filter(|point| pin(*point).is_some_and(is_live));
        let sizes = live.flat_map(|point| wires_at(network, point));
        let thickest = sizes.filter_map(|wire| Some((model[wire].size?.value, wire)));
        let thickest = thickest.reduce(|a, b| if b.0 > a.0 { b } else { a });
        if let (false, Some(earth), Some(thickest)) = (item.chassis, earth, thickest) {
            boxes.push((device, earth, thickest));
        }
    }
    if boxes.is_empty() {
        return Vec::new();
    }
    // The shortest ways from the chassis over metal.
    let chassis = model.devices().filter(|(_, device)| device.chassis).flat_map(|(_, device)| model.points_of(device));
    let ways = network.walk(chassis, |_, edge| edge.role.is_metal());
    boxes.into_iter().flat_map(|(device, earth, live)| findings(analysis, &ways, device, earth, live)).collect()
}

/// The wires that end at what meets a point of a device.
fn wires_at(network: &Network, point: PointId) -> impl Iterator<Item = WireId> {
    let met = network.around(point).filter(|(_, edge, _)| edge.role.is_place());
    met.flat_map(|(_, _, cavity)| network.around(cavity).filter_map(|(_, edge, _)| edge.wire()))
}

fn findings(
    analysis: &Analysis,
    ways: &Walk,
    device: DeviceId,
    earth: PointId,
    (live, thickest): (SquareMillimetre, WireId),
) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let mut wires = Vec::new();
    let mut ohms = 0.0;
    let mut point = earth;
    while let Some(came) = ways.came(point) {
        let edge = &network[came.by];
        match edge.wire() {
            Some(wire) => {
                wires.push(wire);
                ohms += ohms_of(model, wire);
            }
            None => ohms += joint(model, edge).map_or(0.0, Ohm::get),
        }
        point = came.from;
    }
    let name = model.device_name(device);
    let least = least_size(live);
    let mut findings = Vec::new();
    for wire in &wires {
        // A wire without a size is `review/missing-fact`'s to report.
        let Some(size) = model[*wire].size.filter(|size| size.value < least.value) else { continue };
        let (bond, feed) = (model.wire_name(*wire), model.wire_name(thickest));
        let place = model[thickest].size.map_or(model[thickest].span, |size| size.span);
        let finding = RULE
            .finding(size.span, format!("wire `{bond}` bonds `{name}` with {}, where {} is needed", size.value, least.value))
            .label(format!("{} or more", least.value))
            .figure("live conductor", format!("{live}, wire `{feed}`"))
            .figure("least size", least)
            .help(format!("use a larger conductor for `{bond}`"))
            .concerns(bond)
            .weigh(size.value, Worse::Smaller);
        let finding = remedies::larger(analysis.facts(), *wire, least.value).into_iter().fold(finding, Finding::remedy);
        findings.push(finding.context(place, format!("thickest class B conductor of `{name}`")));
    }
    let (found, limit) = (Ohm::new(ohms), continuity());
    let longest = wires.iter().copied().reduce(|a, b| if ohms_of(model, b) > ohms_of(model, a) { b } else { a });
    if let (true, Some(longest)) = (found >= limit.value, longest) {
        let bond = model.wire_name(longest);
        findings.push(
            RULE.finding(
                model[longest].span,
                format!("the bond of `{name}` to the chassis has {found}, not below {}", limit.value),
            )
            .label("the longest piece of it")
            .figure("resistance", format!("{found} at 20 degC, computed"))
            .figure("limit", limit)
            .help(format!("bond `{name}` to the chassis near it, or use a thicker `{bond}`"))
            .concerns(bond),
        );
    }
    findings
}

fn ohms_of(model: &Model, wire: WireId) -> f64 {
    resistance_of(model, &model[wire]).get()
}
