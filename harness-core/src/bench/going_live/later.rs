//! Later work on a vehicle: it is made safe, proven dead, worked on and put back, each in the state that it is in then.
//!
//! The idea: the quiet mode first, so that nothing draws; then what separates class B, while contactors are open; then what separates the device
//! from class A: its fuses where every way to it goes through one, else the batteries. What is still alive at its contacts is computed, and the
//! way back is the way in, the other way round.
//!
//! Cost: two or three states for each step.

use super::{
    plan::{Act, Phase, Planned},
    readings::{Place, Read, Snapshot},
    stages::Stage,
    steps::Order,
    vehicle::Vehicle,
};
use crate::{
    model::{DeviceId, Owner, PointId},
    network::{Edge, EdgeId},
};
use std::collections::BTreeSet;

/// What is worked on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// The vehicle, wherever.
    Vehicle,
    /// These devices, by their names.
    Devices(Vec<String>),
}

/// Contacts at which the absence of voltage is proven, at most.
const PROVEN: usize = 24;

/// The order of work on these devices; on the whole vehicle if none is named.
pub(super) fn later(vehicle: &Vehicle<'_>, devices: &[DeviceId]) -> Vec<Planned> {
    let points = contacts(vehicle, devices);
    let class_b = vehicle.has_class_b() && (devices.is_empty() || points.iter().any(|point| vehicle.is_class_b(*point)));
    let mut order = Order::of(vehicle, supplies_off(vehicle));
    order.add(Act::Settle, Phase::MakeSafe, class_b, &[]);
    let mut undo: Vec<(Act, Act, Vec<EdgeId>, bool)> = Vec::new();
    if class_b {
        for (at, one) in vehicle.disconnects.iter().enumerate().filter(|(_, one)| one.class_b) {
            undo.push((Act::TakeOut(at), Act::Disconnect(at), one.edges.clone(), true));
        }
    }
    match fuses_before(vehicle, &points).filter(|_| !class_b && !devices.is_empty()) {
        Some(fuses) => {
            let edges = fuses.iter().filter_map(|at| Some(vehicle.fuses.get(*at)?.edge)).collect();
            undo.push((Act::Pull(fuses.clone()), Act::DeadFuses(fuses), edges, false));
        }
        None => {
            for (at, one) in vehicle.disconnects.iter().enumerate().filter(|(_, one)| !one.class_b) {
                undo.push((Act::TakeOut(at), Act::Disconnect(at), one.edges.clone(), false));
            }
            for (at, battery) in vehicle.batteries.iter().enumerate().filter(|(_, battery)| !battery.class_b) {
                undo.push((Act::TakeOff(at), Act::Battery(at), battery.lead.clone(), false));
            }
        }
    }
    if class_b {
        // A battery that nothing separates from its plug comes off by that, with everything else off already.
        for (at, battery) in vehicle.batteries.iter().enumerate().filter(|(_, one)| one.class_b && !one.lead.is_empty()) {
            undo.push((Act::TakeOff(at), Act::Battery(at), battery.lead.clone(), true));
        }
    }
    for (act, _, edges, trained) in &undo {
        order.take(act.clone(), edges, *trained);
    }
    if class_b && !vehicle.facts.class_b_capacitors().is_empty() {
        order.add(Act::Wait, Phase::MakeSafe, true, &[]);
    }
    let proof = proof(vehicle, &order.open, &points);
    order.add(Act::ProveDead, Phase::AtWork, class_b, &proof);
    order.add(Act::Work, Phase::AtWork, class_b, &[]);
    if class_b {
        order.add(Act::Mated, Phase::PutBack, true, &[]);
    }
    for (_, act, edges, trained) in undo.into_iter().rev() {
        let mode = if trained { vehicle.rest } else { vehicle.quiet };
        order.join(act, &edges, Phase::PutBack, trained, mode);
    }
    if let Some(stage) = tried(vehicle, devices) {
        let trained = class_b || stage.has_class_b;
        order.switch(Act::Mode(stage.mode), Phase::PutBack, trained, stage.mode);
        // What was worked on is looked at; all the rest is as it was.
        let model = vehicle.facts.model();
        let is_own = |place: Place| match place {
            Place::Between(point, _) => model.device_at(point).is_some_and(|device| devices.contains(&device)),
            Place::In(..) => false,
        };
        if let Some(step) = order.steps.last_mut().filter(|_| !devices.is_empty()) {
            step.reads.retain(|read| {
                is_own(read.place)
                    || vehicle.batteries.iter().any(|battery| read.place == Place::Between(battery.poles[1], battery.poles[0]))
            });
            step.more = 0;
        }
    }
    order.steps
}

/// The mode in which a device is tried again: the first one, without a supply from outside, in which most of what it draws runs.
fn tried<'v>(vehicle: &'v Vehicle<'_>, devices: &[DeviceId]) -> Option<&'v Stage> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let own = |edge: &Edge| {
        let owner = edge.element().map(|element| model[element].owner);
        devices.is_empty() || devices.iter().any(|device| owner == Some(Owner::Device(*device)))
    };
    let runs = |stage: &Stage| {
        let state = facts.electrical().in_mode(stage.mode)?;
        let drawing = facts.network().edges().filter(|(id, edge)| edge.role.draws() && own(edge) && state.conducts(*id));
        Some(drawing.count())
    };
    let stages = vehicle.modes.iter().filter(|stage| stage.supplies.is_empty() && stage.mode != vehicle.quiet);
    stages.rev().max_by_key(|stage| runs(stage))
}

/// The edges of supplies that are there in the quiet mode: unplugged or covered for any work.
fn supplies_off(vehicle: &Vehicle<'_>) -> BTreeSet<EdgeId> {
    vehicle.supplies.iter().flat_map(|supply| supply.edges.iter().copied()).collect()
}

/// The contacts of devices; of the whole vehicle those of all devices that draw, convert or switch class B.
fn contacts(vehicle: &Vehicle<'_>, devices: &[DeviceId]) -> Vec<PointId> {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let fitted = model.devices().filter(|(_, device)| device.fitted && !device.chassis);
    let own = fitted.filter(|(id, _)| devices.is_empty() || devices.contains(id));
    let points = own.flat_map(|(_, device)| model.points_of(device));
    points.filter(|point| network.around(*point).next().is_some()).collect()
}

/// The fuses that separate these contacts from every supply; `None` where a way leads past all fuses, or class B reaches them.
fn fuses_before(vehicle: &Vehicle<'_>, points: &[PointId]) -> Option<Vec<usize>> {
    let network = vehicle.facts.network();
    let own: Vec<EdgeId> = vehicle.fuses.iter().map(|fuse| fuse.edge).collect();
    // Contacts count as closed: what they feed in some mode is alive in it.
    let leads = network.components(|id, edge| edge.role.conducts_when_closed() && !own.contains(&id));
    let at: BTreeSet<_> = points.iter().map(|point| leads.of(*point)).collect();
    // The negative pole of a supply joins everything and gives nothing by itself.
    let returns: BTreeSet<_> = network.edges().filter(|(_, edge)| edge.role.drives()).map(|(_, edge)| leads.of(edge.a)).collect();
    let is_fed = network.edges().any(|(_, edge)| {
        let positive = leads.of(edge.b);
        edge.role.drives() && at.contains(&positive) && !returns.contains(&positive)
    });
    if is_fed {
        return None;
    }
    let beside = (0..).zip(&vehicle.fuses).filter(|(_, fuse)| {
        let edge = network[fuse.edge];
        [edge.a, edge.b].iter().any(|point| at.contains(&leads.of(*point)) && !returns.contains(&leads.of(*point)))
    });
    let found: Vec<usize> = beside.map(|(at, _)| at).collect();
    (!found.is_empty()).then_some(found)
}

/// What proves contacts dead: each section of conductors once, against the chassis or the negative pole, and class B pole against pole.
fn proof(vehicle: &Vehicle<'_>, open: &BTreeSet<EdgeId>, points: &[PointId]) -> Vec<Read> {
    let network = vehicle.facts.network();
    let Some(state) = vehicle.state(vehicle.quiet, open) else { return Vec::new() };
    let chassis = super::measured::chassis(vehicle);
    let snapshot = Snapshot::new(vehicle, state);
    let mut seen: BTreeSet<_> = BTreeSet::new();
    let mut once: Vec<PointId> = points
        .iter()
        .copied()
        .filter(|point| vehicle.facts.electrical().domains().of(*point).is_some() && vehicle.how(*point).is_some())
        .filter(|point| seen.insert(network.net(*point)))
        .collect();
    // Class B first.
    once.sort_by_key(|point| !vehicle.is_class_b(*point));
    let mut reads: Vec<Read> = Vec::new();
    let class_b: Vec<PointId> = once.iter().copied().filter(|point| vehicle.is_class_b(*point)).collect();
    for pair in class_b.windows(2) {
        if let [one, other] = pair {
            reads.extend(snapshot.proven(*one, *other));
        }
    }
    for point in once {
        let against =
            chassis.or_else(|| vehicle.batteries.iter().find(|battery| !battery.class_b).map(|battery| battery.poles[0]));
        let Some(against) = against.filter(|against| network.net(*against) != network.net(point)) else { continue };
        reads.extend(snapshot.proven(point, against));
    }
    reads.truncate(PROVEN);
    reads
}
