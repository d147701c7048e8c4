//! What is worth reading in a state: poles of batteries, what draws, what is behind contactors, the ends of interlock loops.

use super::{
    plan::Watched,
    readings::{How, Place, Read, Snapshot},
    vehicle::Vehicle,
};
use crate::{
    facts::loops::is_contactor,
    model::{ElementId, ModeId, PointId},
    network::{Edge, EdgeId},
    vocabulary::Role,
};
use std::collections::BTreeSet;

/// The cells whose current is that of a lead: a source of the battery with these poles.
pub(super) fn source_at(vehicle: &Vehicle<'_>, negative: PointId, positive: PointId) -> Option<(EdgeId, ElementId)> {
    let network = vehicle.facts.network();
    let at = |point: PointId| network.around(point).find(|(_, edge, _)| edge.role.takes_charge());
    let (id, edge, _) = at(negative).or_else(|| at(positive))?;
    Some((id, edge.element()?))
}

/// The voltage at the poles of each battery, of class B too where it is in.
pub(super) fn poles(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>, with_class_b: bool) -> Vec<Read> {
    let batteries = vehicle.batteries.iter().filter(|battery| with_class_b || !battery.class_b);
    batteries.filter_map(|battery| after.read_volts(battery.poles[1], battery.poles[0], false)).collect()
}

/// The voltage across what draws, at the contacts of its box.
pub(super) fn across(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>, edge: &Edge) -> Option<Read> {
    let (one, other) = if after.volts(edge.a, edge.b) >= 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
    let (Some(one), Some(other)) = (vehicle.probed(one), vehicle.probed(other)) else {
        let point = vehicle.probed(one)?;
        return after.read_volts(point, after.reference(point)?, false);
    };
    (one != other).then(|| after.read_volts(one, other, false)).flatten()
}

/// Whether a reading is at the poles of a battery, which every mode moves.
pub(super) fn is_at_pole(vehicle: &Vehicle<'_>, place: Place) -> bool {
    match place {
        Place::Between(point, _) => vehicle.batteries.iter().any(|battery| battery.poles[1] == point),
        Place::In(..) => false,
    }
}

/// The currents of what protects class B, and of the batteries of class A.
pub(super) fn class_b_currents(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
    let network = vehicle.facts.network();
    let fuses =
        network.edges().filter(|(_, edge)| edge.role.is_fuse() && (vehicle.is_class_b(edge.a) || vehicle.is_class_b(edge.b)));
    let fuses = fuses.filter(|(id, _)| after.state.conducts(*id)).filter_map(|(id, edge)| Some((id, edge.element()?)));
    let cells = vehicle.batteries.iter().filter(|battery| !battery.class_b);
    let cells = cells.filter_map(|battery| source_at(vehicle, battery.poles[0], battery.poles[1]));
    fuses.chain(cells).filter_map(|(id, element)| after.read_amps(id, element)).collect()
}

/// The voltage at the ends of interlock loops.
pub(super) fn loop_ends(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
    let ends = ends_of_loops(vehicle).into_iter();
    ends.filter_map(|point| after.read_volts(point, after.reference(point)?, false)).collect()
}

/// The pins at which controllers watch interlock loops.
pub(super) fn ends_of_loops(vehicle: &Vehicle<'_>) -> Vec<PointId> {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let is_end = |point: PointId| {
        model.role_at(point) == Some(Role::Interlock)
            && model.port_at(point).is_some()
            && !network.around(point).any(|(_, edge, _)| edge.role.may_bridge_loop() && is_loop(vehicle, edge))
    };
    let is_free = |point: PointId| matches!(vehicle.how(point), Some(How::Probes | How::TestPoint));
    model.points().map(|(point, _)| point).filter(|point| is_end(*point) && is_free(*point)).collect()
}

/// Whether both sides of an edge are pins of an interlock loop: a bridge, not a resistor of the controller.
fn is_loop(vehicle: &Vehicle<'_>, edge: &Edge) -> bool {
    [edge.a, edge.b].iter().all(|point| vehicle.facts.model().role_at(*point) == Some(Role::Interlock))
}

/// The voltage across the coils of these contacts.
pub(super) fn coils<'a>(
    vehicle: &'a Vehicle<'_>,
    after: &'a Snapshot<'_, '_>,
    contacts: &'a [ElementId],
) -> impl Iterator<Item = Read> + 'a {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let relays: BTreeSet<ElementId> = contacts.iter().map(|contact| model[*contact].kind.coil_of().unwrap_or(*contact)).collect();
    let coils =
        network.edges().filter(move |(_, edge)| edge.role.draws() && edge.element().is_some_and(|one| relays.contains(&one)));
    coils.filter_map(|(_, edge)| across(vehicle, after, edge))
}

/// The voltage behind each contactor of class B, against the negative pole of its battery.
pub(super) fn behind_contactors(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
    let (facts, network) = (vehicle.facts, vehicle.facts.network());
    let mut found = Vec::new();
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_relay_contact() && is_contactor(facts, edge)) {
        if after.state.conducts(id) {
            continue;
        }
        let far = if after.state.is_fed(edge.a) { edge.b } else { edge.a };
        let minus = vehicle.batteries.iter().find(|battery| battery.class_b).map(|battery| battery.poles[0]);
        let read = vehicle.probed(far).zip(minus).and_then(|(point, minus)| after.read_volts(point, minus, false));
        found.extend(read);
    }
    found
}

/// What a mode charges through a resistor as it begins.
pub(super) fn watched(vehicle: &Vehicle<'_>, mode: ModeId) -> Vec<Watched> {
    let precharges = vehicle.facts.precharges().iter();
    let own =
        precharges.filter(|one| one.mode == mode || one.soft.contains(&mode) || one.is_within && one.closed.contains(&mode));
    let watched = own.map(|one| {
        let charging = one.charging();
        let nine_tenths = one.time.map(|time| (time, charging.after(time)));
        let nearly = charging.time_to(0.99).map(|time| (time, charging.after(time)));
        Watched { precharge: one.clone(), at: nine_tenths.into_iter().chain(nearly).collect() }
    });
    watched.collect()
}
