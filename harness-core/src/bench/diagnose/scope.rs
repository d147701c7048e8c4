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
    /// Bridges and shorts that are in it, or open a fuse that is.
    bridges: BTreeSet<(PointId, PointId)>,
}

/// Two points that a fault joins.
#[derive(Debug)]
struct Bridge {
    ends: (PointId, PointId),
    /// Whether the second is the ground, which is everywhere.
    is_short: bool,
    /// The fuses that open at once; `None` for one that still draws the sources down then.
    opens: Option<Vec<EdgeId>>,
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
        let bridges = bridges(lasting, suspects);
        let mut cut = lasting.excerpt(&begin, &edges);
        let points = points(&cut, network);
        let nets: FxHashSet<NetId> = points.iter().map(|point| network.net(*point)).collect();
        let is_near = |bridge: &&Bridge| {
            let (one, other) = bridge.ends;
            if bridge.is_short { nets.contains(&network.net(one)) } else { points.contains(&one) || points.contains(&other) }
        };
        let mut found: BTreeSet<(PointId, PointId)> = bridges.iter().filter(is_near).map(|bridge| bridge.ends).collect();
        loop {
            let count = found.len();
            begin.extend(found.iter().flat_map(|(one, other)| [*one, *other]));
            cut = lasting.excerpt(&begin, &edges);
            let opens =
                |bridge: &&Bridge| bridge.opens.as_ref().is_none_or(|opens| opens.iter().any(|fuse| cut.rest().has(*fuse)));
            found.extend(bridges.iter().filter(opens).map(|bridge| bridge.ends));
            if found.len() == count {
                let points = self::points(&cut, network);
                return Self { lasting: cut, points, bridges: found };
            }
        }
    }

    /// Whether a fault is in it.
    pub(super) fn has_fault(&self, suspect: &Suspect) -> bool {
        match suspect.fault {
            Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) | Fault::Welded(edge) | Fault::Stuck(edge) => {
                self.lasting.rest().has(edge)
            }
            Fault::Bridged(one, other) => self.bridges.contains(&(one, other)),
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

/// The points that are left.
fn points(cut: &Lasting<'_>, network: &Network) -> FxHashSet<PointId> {
    network.edges().filter(|(id, _)| cut.rest().has(*id)).flat_map(|(_, edge)| [edge.a, edge.b]).collect()
}

/// What each bridge opens.
fn bridges(lasting: &Lasting<'_>, suspects: &[Suspect]) -> Vec<Bridge> {
    let mut tries = lasting.tries();
    let mut found = Vec::new();
    for suspect in suspects {
        let Fault::Bridged(one, other) = suspect.fault else { continue };
        // Where nothing is known of shorts, nothing is known of any fault.
        let Some(bridged) = tries.bridged(one, other) else { continue };
        let lasts = !bridged.ends && bridged.amps.get() > LASTING;
        let opens = (!lasts).then(|| bridged.opens.iter().map(|(_, edge, _)| *edge).collect());
        found.push(Bridge { ends: (one, other), is_short: suspect.kind == CauseKind::Shorted, opens });
    }
    found
}
