//! Circuits of a device that back each other up, and where their wires run together all the same.
//!
//! The way of a circuit is followed from its pins through connectors between looms, and through splices, fuses, contacts and boxes from which one
//! wire alone leads on, to what takes or gives a current. Where several lead on, it may be shared on purpose: it ends there, and the answer says
//! so, unless the other circuit ends at the same place. Conductors of one net are one circuit, whatever is written. Two circuits that go to one plug share it,
//! and the last segment before it, because they must.
//!
//! Cost: the wires of the circuits that are named.

use super::{Facts, reach::device_at};
use crate::{
    model::{CableId, DeviceId, EndId, Mate, PointId, PointKind, SegmentId, WireId},
    network::NetId,
    text::{Name, Span},
};
use std::collections::{BTreeMap, BTreeSet};

/// Where two circuits are together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SharedPlace {
    /// Wires of both run through it.
    Segment(SegmentId),
    /// It has cores of both.
    Cable(CableId),
    /// A connector between two looms that both pass: one of its two ends.
    Connector(EndId),
}

/// Two circuits that must be apart and are not, or of which nobody knows.
#[derive(Debug)]
pub struct NotApart {
    /// The device that names them.
    pub device: DeviceId,
    /// Where each is named.
    pub named: [Span; 2],
    /// Each place at which they are together, with a wire of each.
    pub shared: Vec<(SharedPlace, [WireId; 2])>,
    /// A wire of each in one loom of which no way is given.
    pub unrouted: Option<[WireId; 2]>,
    /// Where several wires lead on from one of them and not from the other, with how many: nothing behind was compared.
    pub forks: Vec<(PointId, usize)>,
}

impl Facts {
    /// Circuits that a device names in `apart` and that run together somewhere, or whose way is not given, in the order of the devices.
    ///
    /// Asked by `route/not-apart` and `review/missing-fact`.
    #[must_use]
    pub fn not_apart(&self) -> &[NotApart] {
        self.made.not_apart.get_or_init(|| not_apart(self))
    }
}

/// The wires of a circuit, and the connectors between looms that it passes.
#[derive(Default)]
struct Way {
    wires: BTreeMap<WireId, NetId>,
    passed: BTreeMap<EndId, WireId>,
    /// Places from which several wires lead on, known by the first point of each, with how many.
    forks: BTreeMap<PointId, usize>,
}

fn not_apart(facts: &Facts) -> Vec<NotApart> {
    let mut found = Vec::new();
    for (id, device) in facts.model().devices().filter(|(_, device)| device.fitted) {
        let ways: Vec<(Way, Span)> = device.apart.iter().map(|(pins, span)| (way(facts, pins), *span)).collect();
        for (at, (one, first)) in ways.iter().enumerate() {
            for (other, second) in ways.iter().skip(at + 1) {
                let (shared, unrouted) = together(facts, one, other);
                let alone = |way: &Way, its: &Way| -> Vec<(PointId, usize)> {
                    way.forks.iter().filter(|(at, _)| !its.forks.contains_key(at)).map(|(at, more)| (*at, *more)).collect()
                };
                let forks = [alone(one, other), alone(other, one)].concat();
                if !shared.is_empty() || unrouted.is_some() || !forks.is_empty() {
                    found.push(NotApart { device: id, named: [*first, *second], shared, unrouted, forks });
                }
            }
        }
    }
    found
}

fn way(facts: &Facts, pins: &[PointId]) -> Way {
    let (model, network, ends) = (facts.model(), facts.network(), facts.wire_ends());
    let mut way = Way::default();
    let mut waiting: Vec<PointId> = Vec::new();
    for pin in pins {
        waiting.push(*pin);
        waiting.extend(network.around(*pin).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other));
    }
    // Places from which several wires lead on; one that comes back to the circuit later leaves fewer.
    let mut forks: Vec<Vec<PointId>> = Vec::new();
    loop {
        while let Some(point) = waiting.pop() {
            for end in ends.wires(point) {
                let wire = &model[end.wire];
                if !model[wire.loom].fitted || way.wires.insert(end.wire, network.net(point)).is_some() {
                    continue;
                }
                let far = [wire.from, wire.to].into_iter().flatten().find(|far| *far != point);
                let Some(far) = far else { continue };
                let met = ends.opposite(model, far).filter(|met| matches!(model[*met].kind, PointKind::Cavity(_)));
                if let (PointKind::Cavity(own), Some(met)) = (model[far].kind, met) {
                    let Some(Mate::End(other)) = ends.partner(own) else { continue };
                    way.passed.entry(own.min(other)).or_insert(end.wire);
                    waiting.push(met);
                } else {
                    forks.extend(passed_through(facts, far).filter(|place| !place.iter().any(|at| pins.contains(at))));
                }
            }
        }
        let on = |place: &[PointId]| -> Vec<PointId> {
            let leads = |point: &PointId| {
                ends.wires(*point).iter().filter(|end| {
                    let wire = &model[end.wire];
                    model[wire.loom].fitted && wire.from.is_some() && wire.to.is_some() && !way.wires.contains_key(&end.wire)
                })
            };
            place.iter().flat_map(|point| leads(point).map(|_| *point)).collect()
        };
        let next = forks.iter().map(|place| on(place)).find_map(|points| <[PointId; 1]>::try_from(points).ok());
        let Some([next]) = next else {
            let left = forks.iter().map(|place| (place.first().copied(), on(place).len()));
            way.forks = left.filter_map(|(first, more)| Some((first?, more)).filter(|(_, more)| *more > 1)).collect();
            return way;
        };
        waiting.push(next);
    }
}

/// The points that a current passes where a wire ends, without a wire: a stud and its rings, both sides of a fuse, the bar of a box; in order. `None`
/// where something takes or gives it, and at the chassis.
fn passed_through(facts: &Facts, at: PointId) -> Option<Vec<PointId>> {
    let network = facts.network();
    let mut place = BTreeSet::from([at]);
    let mut waiting = vec![at];
    while let Some(point) = waiting.pop() {
        if device_at(facts, point).is_some_and(|device| facts.model()[device].chassis) {
            return None;
        }
        for (_, edge, other) in network.around(point) {
            if edge.role.drains() || edge.role.drives() {
                return None;
            }
            let is_inside = edge.role.is_place() || (edge.element().is_some() && edge.role.conducts_when_closed());
            if is_inside && place.insert(other) {
                waiting.push(other);
            }
        }
    }
    Some(place.into_iter().collect())
}

type Together = (Vec<(SharedPlace, [WireId; 2])>, Option<[WireId; 2]>);

fn together(facts: &Facts, one: &Way, other: &Way) -> Together {
    let model = facts.model();
    let nets = |way: &Way| -> BTreeSet<NetId> { way.wires.values().copied().collect() };
    let common: BTreeSet<NetId> = nets(one).intersection(&nets(other)).copied().collect();
    let own =
        |way: &Way| -> Vec<WireId> { way.wires.iter().filter(|(_, net)| !common.contains(net)).map(|(wire, _)| *wire).collect() };
    let (first, second) = (own(one), own(other));
    let mut shared: BTreeMap<SharedPlace, [WireId; 2]> = BTreeMap::new();
    let mut unrouted = None;
    for a in &first {
        for b in &second {
            let cable = |wire: &WireId| model[*wire].core.map(|(cable, _)| cable);
            if let Some(cable) = cable(a).filter(|own| cable(b) == Some(*own)) {
                shared.entry(SharedPlace::Cable(cable)).or_insert([*a, *b]);
                continue;
            }
            if model[*a].loom == model[*b].loom && model[*a].via.is_empty() && model[*b].via.is_empty() {
                unrouted = unrouted.or(Some([*a, *b]));
            }
            for segment in model[*a].via.iter().filter(|segment| model[*b].via.contains(segment)) {
                shared.entry(SharedPlace::Segment(*segment)).or_insert([*a, *b]);
            }
        }
    }
    let segment = |place: &SharedPlace| match place {
        SharedPlace::Segment(segment) => Some(*segment),
        SharedPlace::Cable(_) | SharedPlace::Connector(_) => None,
    };
    let segments: BTreeSet<SegmentId> = shared.keys().filter_map(segment).collect();
    for last in last_before_plugs(facts, [&first, &second], &segments) {
        shared.remove(&SharedPlace::Segment(last));
    }
    for (end, a) in one.passed.iter().filter(|(_, wire)| first.contains(wire)) {
        if let Some(b) = other.passed.get(end).filter(|wire| second.contains(wire)) {
            shared.entry(SharedPlace::Connector(*end)).or_insert([*a, *b]);
        }
    }
    (shared.into_iter().collect(), unrouted)
}

/// The last segments before the plugs to which both circuits go: one for each plug, where neither circuit runs through that segment alone.
fn last_before_plugs(facts: &Facts, circuits: [&[WireId]; 2], shared: &BTreeSet<SegmentId>) -> BTreeSet<SegmentId> {
    let model = facts.model();
    let mut spared = BTreeSet::new();
    let [own, its] = circuits.map(|wires| by_plug(facts, wires));
    for (plug, one) in &own {
        let Some(other) = its.get(plug) else { continue };
        let loom = model[*plug].loom;
        let ways = circuits.map(|wires| -> BTreeSet<SegmentId> {
            let of_loom = wires.iter().map(|wire| &model[*wire]).filter(|wire| wire.loom == loom);
            of_loom.flat_map(|wire| wire.via.iter().copied()).collect()
        });
        if ways.iter().any(|way| way.len() < 2) {
            continue;
        }
        let is_last = |segment: &SegmentId| {
            // Where the ways of both end, by the nodes of their segments.
            let ends = |way: &BTreeSet<SegmentId>, node: Name| {
                way.iter().flat_map(|other| model[*other].nodes).flatten().filter(|other| other.value == node).count() == 1
            };
            let mut nodes = model[*segment].nodes.into_iter().flatten().map(|node| node.value);
            let is_end = nodes.any(|node| ways.iter().all(|way| ends(way, node)));
            let is_of_all = one.iter().chain(other).all(|wire| model[*wire].via.contains(segment));
            is_of_all && (is_end || model[*plug].at == Some(*segment))
        };
        // Where several may be it, the one that is said to be; else the shortest: a branch is shorter than the trunk.
        let rank = |segment: &&SegmentId| {
            let length = model[**segment].length.map_or(u64::MAX, |length| (length.value.get() * 1000.0).round() as u64);
            (model[*plug].at != Some(**segment), length, **segment)
        };
        let last = shared.iter().filter(|segment| !spared.contains(*segment) && is_last(segment)).min_by_key(rank);
        spared.extend(last);
    }
    spared
}

/// The wires of a circuit by the plugs of looms in which they end.
fn by_plug(facts: &Facts, wires: &[WireId]) -> BTreeMap<EndId, Vec<WireId>> {
    let model = facts.model();
    let mut found: BTreeMap<EndId, Vec<WireId>> = BTreeMap::new();
    for wire in wires {
        for point in [model[*wire].from, model[*wire].to].into_iter().flatten() {
            if let PointKind::Cavity(end) = model[point].kind {
                found.entry(end).or_default().push(*wire);
            }
        }
    }
    found
}
