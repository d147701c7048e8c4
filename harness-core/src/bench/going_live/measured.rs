//! What is measured in ohms: bonds, interlock loops, buses and the insulation of class B with everything off; its isolation with its battery in.

use super::{
    super::ring_out::Meter,
    readings::How,
    seen::ends_of_loops,
    sheet::{Figure, Reading},
    vehicle::Vehicle,
};
use crate::{
    electrical::what_if::Change,
    model::{DeviceId, DomainId, ElementId, EndId, PointId},
    network::{EdgeId, EdgeKind},
    quantity::Ohm,
    standards::{
        bonding::continuity,
        precharge::precharged,
        ring_out,
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
            around: Vec::new(),
            after: None,
        }
    });
    read.collect()
}

/// The ohms of each interlock loop as its controller sees them: between the cavities of its two pins, with the plugs of these pins off.
pub(super) fn loops(vehicle: &Vehicle<'_>, open: &BTreeSet<EdgeId>) -> Vec<Reading> {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let mut of: BTreeMap<DeviceId, Vec<(PointId, PointId)>> = BTreeMap::new();
    let mut plugs: BTreeSet<EndId> = BTreeSet::new();
    for pin in ends_of_loops(vehicle) {
        let contact = network.around(pin).find_map(|(_, edge, cavity)| match edge.kind {
            EdgeKind::Contact(end) => Some((end, cavity)),
            EdgeKind::Joint(_) | EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
        });
        let (Some(device), Some((end, cavity))) = (model.device_at(pin), contact) else { continue };
        plugs.insert(end);
        of.entry(device).or_default().push((pin, cavity));
    }
    let pulled = network.edges().filter(|(_, edge)| matches!(edge.kind, EdgeKind::Contact(end) if plugs.contains(&end)));
    let changes: Vec<Change> = open.iter().copied().chain(pulled.map(|(id, _)| id)).map(Change::Open).collect();
    let ends = of
        .values()
        .flat_map(|pins| pins.iter().enumerate().flat_map(|(at, one)| pins.iter().skip(at + 1).map(move |other| (*one, *other))));
    let ends: Vec<((PointId, PointId), (PointId, PointId))> = ends.collect();
    let pairs: Vec<(PointId, PointId)> = ends.iter().map(|((_, one), (_, other))| (*one, *other)).collect();
    let found = vehicle.facts.electrical().ohms_switched_off(vehicle.quiet, &changes, &pairs);
    let read = ends.into_iter().zip(found).filter_map(|(((pin, one), (other_pin, other)), ohms)| {
        let accepted = [pin, other_pin].into_iter().filter_map(|pin| model[model[pin].pin?].loop_resistance);
        let accepted = accepted.map(|at| at.value).reduce(|one, other| if one < other { one } else { other });
        let [least, most] = Meter::of(model).limits_of(ohms?, ring_out::resistor_tolerance().value);
        let most = accepted.filter(|accepted| *accepted < most).unwrap_or(most);
        Some(Reading {
            before: false,
            at: model.point_name(one),
            against: model.point_name(other),
            figure: Figure::Ohms(ohms, Some(least), Some(most)),
            how: How::Probes,
            around: Vec::new(),
            after: None,
        })
    });
    read.collect()
}

/// A capacitor that a resistor charges, with the points at which its bus is measured and the least that it must have.
pub(super) struct Bus {
    capacitor: ElementId,
    poles: (PointId, PointId),
    least: Ohm,
}

/// The buses that precharge resistors charge, where the design has points to measure at on both of their sides.
///
/// Below so many times the resistance of the precharge the bus never comes to nine tenths.
pub(super) fn buses(vehicle: &Vehicle<'_>) -> Vec<Bus> {
    let model = vehicle.facts.model();
    let mut found: Vec<Bus> = Vec::new();
    for one in vehicle.facts.precharges() {
        let Some([plus, minus]) = model[one.capacitor].points.get(..2).and_then(|points| <[PointId; 2]>::try_from(points).ok())
        else {
            continue;
        };
        let Some(poles) = vehicle.test_point(plus).zip(vehicle.test_point(minus)) else { continue };
        let share = precharged().value.get();
        let bus = Bus { capacitor: one.capacitor, poles, least: Ohm::new(one.ohms.get() * share / (1.0 - share)) };
        if found.iter().all(|known| known.capacitor != bus.capacitor && known.poles != bus.poles) {
            found.push(bus);
        }
    }
    found
}

/// The ohms of each bus with everything off.
pub(super) fn buses_read(vehicle: &Vehicle<'_>, open: &BTreeSet<EdgeId>) -> Vec<Reading> {
    let model = vehicle.facts.model();
    let buses = buses(vehicle);
    let changes: Vec<Change> = open.iter().copied().map(Change::Open).collect();
    let pairs: Vec<(PointId, PointId)> = buses.iter().map(|bus| bus.poles).collect();
    let found = vehicle.facts.electrical().ohms_switched_off(vehicle.quiet, &changes, &pairs);
    let read = buses.iter().zip(found).map(|(bus, ohms)| Reading {
        before: false,
        at: model.point_name(bus.poles.0),
        against: model.point_name(bus.poles.1),
        figure: Figure::Ohms(ohms, Some(bus.least), None),
        how: How::TestPoint,
        around: Vec::new(),
        after: None,
    });
    read.collect()
}

/// The isolation of a domain with its battery in, at its poles.
pub(super) fn isolation(vehicle: &Vehicle<'_>, domain: DomainId) -> Vec<Reading> {
    let model = vehicle.facts.model();
    let own = |point: PointId| vehicle.facts.electrical().domains().of(point) == Some(domain);
    let poles: BTreeSet<PointId> =
        vehicle.batteries.iter().flat_map(|battery| battery.poles).filter(|point| own(*point)).collect();
    let against = chassis(vehicle).map_or_else(|| "chassis".to_owned(), |point| model.point_name(point));
    let read = poles.into_iter().filter_map(|pole| {
        let point = vehicle.test_point(pole).unwrap_or(pole);
        Some(Reading {
            before: false,
            at: model.point_name(point),
            against: against.clone(),
            figure: Figure::Ohms(None, Some(least_isolation(vehicle, domain)), None),
            how: vehicle.how(point)?,
            around: Vec::new(),
            after: None,
        })
    });
    read.collect()
}

/// The least isolation resistance of a domain.
fn least_isolation(vehicle: &Vehicle<'_>, domain: DomainId) -> Ohm {
    let domain = &vehicle.facts.model()[domain];
    let limit = if domain.ac { isolation_per_volt_ac() } else { isolation_per_volt() };
    Ohm::new(limit.value.get() * domain.max.get())
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
    let least = least_isolation(vehicle, domain);
    let against = chassis(vehicle).map_or_else(|| "chassis".to_owned(), |point| model.point_name(point));
    let found = best.into_values().map(|(_, _, point)| Reading {
        before: false,
        at: model.point_name(point),
        against: against.clone(),
        figure: Figure::Ohms(None, Some(least), None),
        how: if model.is_test_point(point) { How::TestPoint } else { How::Unplugged },
        around: Vec::new(),
        after: None,
    });
    found.collect()
}
