//! What is measured with everything off: bonds, and the insulation of class B against the chassis.

use super::{
    paper::{Figure, Reading},
    readings::How,
    vehicle::Vehicle,
};
use crate::{
    model::{DomainId, PointId},
    network::EdgeId,
    quantity::Ohm,
    standards::{
        bonding::continuity,
        voltage::{isolation_per_volt, isolation_per_volt_ac},
    },
};
use std::collections::{BTreeMap, BTreeSet};

/// Each bond of a box with class B: from its case to the chassis.
pub(super) fn bonds(vehicle: &Vehicle<'_>) -> Vec<Reading> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let chassis = chassis(vehicle).map_or_else(|| "chassis".to_owned(), |point| model.point_name(point));
    let earths = facts.bonds().boxes.iter().filter(|one| !one.is_supply).flat_map(|one| &one.earths);
    let read = earths.filter(|earth| earth.is_wired && !earth.is_at_shield).map(|earth| {
        let ohms = earth.way.as_ref().map(|way| way.resistance);
        Reading {
            before: false,
            at: model.point_name(earth.point),
            against: chassis.clone(),
            figure: Figure::Ohms(ohms, None, Some(continuity().value)),
            how: How::Probes,
            after: None,
        }
    });
    read.collect()
}

/// A point of the chassis that a probe reaches: a stud first.
pub(super) fn chassis(vehicle: &Vehicle<'_>) -> Option<PointId> {
    let model = vehicle.facts.model();
    let device = model.devices().find(|(_, device)| device.chassis && device.fitted)?.1;
    model.points_of(device).next()
}

/// The insulation of a domain: one contact of each section that is dead with everything out; sections with cells in them are left to three
/// readings.
pub(super) fn insulation(vehicle: &Vehicle<'_>, domain: DomainId, open: &BTreeSet<EdgeId>) -> Vec<Reading> {
    let (facts, model, network) = (vehicle.facts, vehicle.facts.model(), vehicle.facts.network());
    let Some(state) = vehicle.state(vehicle.quiet, open) else { return Vec::new() };
    let sections = network.components(|id, edge| state.conducts(id) && edge.role.is_galvanic());
    let alive: BTreeSet<_> = network
        .edges()
        .filter(|(id, edge)| edge.role.drives() && state.conducts(*id))
        .flat_map(|(_, edge)| [sections.of(edge.a), sections.of(edge.b)])
        .collect();
    let own = |point: PointId| facts.electrical().domains().of(point) == Some(domain);
    let mut best: BTreeMap<_, (bool, usize, PointId)> = BTreeMap::new();
    let wired = |point: PointId| network.around(point).next().is_some();
    for (point, _) in model.points().filter(|(point, _)| own(*point) && wired(*point) && model.port_at(*point).is_some()) {
        let section = sections.of(point);
        if alive.contains(&section) {
            continue;
        }
        // The contact of the box that most of the section is in is as good as any; one that the design marks is better.
        let rank = (!model.is_test_point(point), usize::MAX - sections.members(section).len(), point);
        let slot = best.entry(section).or_insert(rank);
        *slot = (*slot).min(rank);
    }
    let limit = if model[domain].ac { isolation_per_volt_ac() } else { isolation_per_volt() };
    let least = Ohm::new(limit.value.get() * model[domain].max.get());
    let against = chassis(vehicle).map_or_else(|| "chassis".to_owned(), |point| model.point_name(point));
    let found = best.into_values().map(|(_, _, point)| Reading {
        before: false,
        at: model.point_name(point),
        against: against.clone(),
        figure: Figure::Ohms(None, Some(least), None),
        how: if model.is_test_point(point) { How::TestPoint } else { How::Probes },
        after: None,
    });
    found.collect()
}
