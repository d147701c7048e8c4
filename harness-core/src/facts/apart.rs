//! Circuits of a device that back each other up, and where their wires run together all the same.
//!
//! The way of a circuit is followed from its pins through connectors between looms, and through splices of two wires, to the next device or splice:
//! there it may be shared on purpose. Conductors of one net are one circuit, whatever is written. Two circuits that go to one plug share it, and the
//! last segment before it, because they must.
//!
//! Cost: the wires of the circuits that are named.

use super::Facts;
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
}

fn not_apart(facts: &Facts) -> Vec<NotApart> {
    let mut found = Vec::new();
    for (id, device) in facts.model().devices().filter(|(_, device)| device.fitted) {
        let ways: Vec<(Way, Span)> = device.apart.iter().map(|(pins, span)| (way(facts, pins), *span)).collect();
        for (at, (one, first)) in ways.iter().enumerate() {
            for (other, second) in ways.iter().skip(at + 1) {
                let (shared, unrouted) = together(facts, one, other);
                if !shared.is_empty() || unrouted.is_some() {
                    found.push(NotApart { device: id, named: [*first, *second], shared, unrouted });
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
    while let Some(point) = waiting.pop() {
        for end in ends.wires(point) {
            let wire = &model[end.wire];
            if !model[wire.loom].fitted || way.wires.insert(end.wire, network.net(point)).is_some() {
                continue;
            }
            let far = [wire.from, wire.to].into_iter().flatten().find(|far| *far != point);
            let Some(far) = far else { continue };
            match model[far].kind {
                PointKind::Splice(_) if ends.count(far) == 2 => waiting.push(far),
                PointKind::Cavity(own) => {
                    let met = ends.opposite(model, far).filter(|met| matches!(model[*met].kind, PointKind::Cavity(_)));
                    let Some(met) = met else { continue };
                    let Some(Mate::End(other)) = ends.partner(own) else { continue };
                    way.passed.entry(own.min(other)).or_insert(end.wire);
                    waiting.push(met);
                }
                _ => {}
            }
        }
    }
    way
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
                if !must_share(facts, [&first, &second], *segment) {
                    shared.entry(SharedPlace::Segment(*segment)).or_insert([*a, *b]);
                }
            }
        }
    }
    for (end, a) in one.passed.iter().filter(|(_, wire)| first.contains(wire)) {
        if let Some(b) = other.passed.get(end).filter(|wire| second.contains(wire)) {
            shared.entry(SharedPlace::Connector(*end)).or_insert([*a, *b]);
        }
    }
    (shared.into_iter().collect(), unrouted)
}

/// Whether a segment is the last one before a plug to which both circuits go, and neither runs through it alone.
fn must_share(facts: &Facts, circuits: [&[WireId]; 2], segment: SegmentId) -> bool {
    let model = facts.model();
    let wires =
        |of: &[WireId]| -> Vec<WireId> { of.iter().copied().filter(|wire| model[*wire].loom == model[segment].loom).collect() };
    let [one, other] = circuits.map(wires);
    let plugs = |wires: &[WireId]| -> BTreeSet<EndId> {
        let points = wires.iter().flat_map(|wire| [model[*wire].from, model[*wire].to]).flatten();
        let end = |point: PointId| match model[point].kind {
            PointKind::Cavity(end) => Some(end),
            _ => None,
        };
        points.filter_map(end).collect()
    };
    let via =
        |wires: &[WireId]| -> BTreeSet<SegmentId> { wires.iter().flat_map(|wire| model[*wire].via.iter().copied()).collect() };
    let (own, its) = (plugs(&one), plugs(&other));
    let mut common = own.intersection(&its).peekable();
    if common.peek().is_none() || via(&one).len() < 2 || via(&other).len() < 2 {
        return false;
    }
    // Where the way of each ends, by the nodes of its segments.
    let leaves = |wires: &[WireId]| -> BTreeSet<Name> {
        let nodes = |segment: &SegmentId| model[*segment].nodes.into_iter().flatten().map(|node| node.value);
        let all: Vec<Name> = via(wires).iter().flat_map(nodes).collect();
        nodes(&segment).filter(|node| all.iter().filter(|other| *other == node).count() == 1).collect()
    };
    common.any(|end| model[*end].at == Some(segment)) || leaves(&one).intersection(&leaves(&other)).next().is_some()
}
