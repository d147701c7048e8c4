//! What can have to do with readings, in a design too large to try everything.
//!
//! Idea: where something is measured, what matters is what leads there from a source or a ground, whichever way, with the relays and converters on these
//! ways and theirs in turn ([`Lasting::excerpt`]). A load elsewhere draws what it draws: that it stops changes no more at the readings than
//! the small drop that circuits share. A short elsewhere matters where it opens a fuse on the ways, or none at all. What is near is tried
//! besides, because it is what a person looks at next.
//!
//! Cost: a pass over the edges near the readings, the excerpt, and what each short opens.

use super::{
    probe::Probe,
    read::Reading,
    suspect::{CauseKind, Suspect},
};
use crate::{
    electrical::single_faults::{Fault, Lasting},
    model::PointId,
    network::{EdgeId, NetId, Network},
};
use rustc_hash::FxHashSet;
use std::collections::{BTreeSet, VecDeque};

/// Faults up to which all are tried.
pub(super) const SMALL: usize = 4_000;
/// Points near the readings that are in it anyhow.
const NEAR: usize = 400;

/// Edges at a point from which on what is beyond it has nothing to do with it.
const HUB: usize = 40;
/// Current in ampere of a short that is not over, from which on it is felt everywhere.
const LASTING: f64 = 5.0;

/// What has to do with readings.
#[derive(Debug)]
pub(super) struct Scope<'e> {
    pub(super) lasting: Lasting<'e>,
    points: FxHashSet<PointId>,
    nets: FxHashSet<NetId>,
    /// Points elsewhere at which a short opens a fuse that is in it.
    shorts: BTreeSet<PointId>,
}

impl<'e> Scope<'e> {
    /// The scope of readings among these faults.
    pub(super) fn new(lasting: &Lasting<'e>, network: &Network, readings: &[Reading], suspects: &[Suspect]) -> Self {
        let mut begin: Vec<PointId> = Vec::new();
        let mut edges: Vec<EdgeId> = Vec::new();
        for reading in readings {
            match reading.probe {
                Probe::Volts { point, .. } => begin.push(point),
                Probe::Ohms { one, other } => begin.extend([one, other]),
                Probe::Works(edge) | Probe::Amps(edge) => {
                    edges.push(edge);
                    begin.extend([network[edge].a, network[edge].b]);
                }
            }
        }
        edges.extend(near(network, &begin));
        begin.extend(readings.iter().filter_map(|reading| match reading.probe {
            Probe::Volts { against, .. } => Some(against),
            Probe::Ohms { .. } | Probe::Works(_) | Probe::Amps(_) => None,
        }));
        let blows = blows(lasting, suspects);
        let mut shorts: BTreeSet<PointId> = BTreeSet::new();
        loop {
            begin.extend(&shorts);
            let cut = lasting.excerpt(&begin, &edges);
            let is_concerned = |(point, opens): &(PointId, Option<Vec<EdgeId>>)| {
                let opens = opens.as_ref().is_none_or(|opens| opens.iter().any(|fuse| cut.rest().has(*fuse)));
                opens.then_some(*point)
            };
            let found: BTreeSet<PointId> = blows.iter().filter_map(is_concerned).collect();
            if found.is_subset(&shorts) {
                return Self::of(cut, network, shorts);
            }
            shorts.extend(found);
        }
    }

    fn of(lasting: Lasting<'e>, network: &Network, shorts: BTreeSet<PointId>) -> Self {
        let kept = network.edges().filter(|(id, _)| lasting.rest().has(*id));
        let points: FxHashSet<PointId> = kept.flat_map(|(_, edge)| [edge.a, edge.b]).collect();
        let nets = points.iter().map(|point| network.net(*point)).collect();
        Self { lasting, points, nets, shorts }
    }

    /// Whether a fault is in it.
    pub(super) fn has_fault(&self, network: &Network, suspect: &Suspect) -> bool {
        match suspect.fault {
            Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) | Fault::Welded(edge) | Fault::Stuck(edge) => {
                self.lasting.rest().has(edge)
            }
            // Ground is everywhere: what is shorted to it decides.
            Fault::Bridged(one, _) if suspect.kind == CauseKind::Shorted => {
                self.nets.contains(&network.net(one)) || self.shorts.contains(&one)
            }
            Fault::Bridged(one, other) => {
                self.points.contains(&one) || self.points.contains(&other) || self.shorts.contains(&one)
            }
        }
    }

    /// Whether a probe is in it.
    pub(super) fn has_probe(&self, probe: Probe) -> bool {
        match probe {
            Probe::Volts { point, against } => self.points.contains(&point) && self.points.contains(&against),
            Probe::Works(edge) | Probe::Amps(edge) => self.lasting.rest().has(edge),
            Probe::Ohms { one, other } => self.points.contains(&one) && self.points.contains(&other),
        }
    }
}

/// The edges nearest to where something was measured.
fn near(network: &Network, begin: &[PointId]) -> Vec<EdgeId> {
    let mut seen: FxHashSet<PointId> = begin.iter().copied().collect();
    let mut open: VecDeque<PointId> = begin.iter().copied().collect();
    let mut found = Vec::new();
    while let Some(point) = open.pop_front() {
        // What hangs on the chassis with it is not near.
        if network.around(point).nth(HUB).is_some() {
            continue;
        }
        for (id, _, other) in network.around(point) {
            if seen.len() >= NEAR {
                return found;
            }
            found.push(id);
            if seen.insert(other) {
                open.push_back(other);
            }
        }
    }
    found
}

/// The fuses that each bridge opens at once; `None` for one that still draws the sources down then.
fn blows(lasting: &Lasting<'_>, suspects: &[Suspect]) -> Vec<(PointId, Option<Vec<EdgeId>>)> {
    let mut tries = lasting.tries();
    let bridges = suspects.iter().filter_map(|suspect| match suspect.fault {
        Fault::Bridged(one, other) => Some((one, other)),
        Fault::Open(_) | Fault::Blown(_) | Fault::Raised(_) | Fault::Welded(_) | Fault::Stuck(_) => None,
    });
    let blown = |(one, other): (PointId, PointId)| {
        let bridge = tries.bridged(one, other)?;
        let lasts = !bridge.ends && bridge.amps.get() > LASTING;
        Some((one, (!lasts).then(|| bridge.opens.iter().map(|(_, edge, _)| *edge).collect())))
    };
    bridges.filter_map(blown).collect()
}
