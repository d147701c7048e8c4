//! Which faults can have to do with readings, in a design too large to try them all.
//!
//! Idea: what is measured at a point hangs on the way by which it is fed and the way by which its current goes back, on the relays and converters
//! in these ways and theirs in turn, and on what is joined to it without carrying anything. A fault elsewhere changes no more than the small drop
//! that circuits share. The ways are followed by the currents that flow without a fault: against them to the sources, with them to the returns.
//!
//! Cost: a pass over the edges on the ways.

use super::{
    probe::Probe,
    read::Reading,
    suspect::{CauseKind, Suspect},
};
use crate::{
    analysis::Analysis,
    electrical::{altered::Rest, single_faults::Fault},
    model::PointId,
    network::{EdgeId, NetId, Network},
};
use rustc_hash::FxHashSet;
use std::collections::VecDeque;

/// Faults up to which all are tried.
const SMALL: usize = 4_000;
/// Points on the ways from which on no more are followed.
const MOST: usize = 1_500;
/// Current that counts as none.
const NO_AMPS: f64 = 1e-6;

/// What is on the ways of the readings.
#[derive(Debug, Default)]
pub(super) struct Scope {
    edges: FxHashSet<EdgeId>,
    points: FxHashSet<PointId>,
    nets: FxHashSet<NetId>,
}

/// Which way is followed from a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Way {
    /// Against the current, to what feeds.
    Up,
    /// With the current, to where it goes back.
    Down,
    /// Both, and over what carries nothing.
    Idle,
}

impl Scope {
    /// The scope of readings; `None` where all faults are tried.
    pub(super) fn of(analysis: &Analysis, rest: &Rest<'_>, readings: &[Reading], faults: usize) -> Option<Self> {
        if faults <= SMALL || readings.is_empty() {
            return None;
        }
        let network = analysis.network();
        let mut begin: Vec<PointId> = Vec::new();
        for reading in readings {
            match reading.probe {
                Probe::Volts { point, .. } => begin.push(point),
                Probe::Ohms { one, other } => begin.extend([one, other]),
                Probe::Works(edge) | Probe::Amps(edge) => begin.extend([network[edge].a, network[edge].b]),
            }
        }
        let mut scope = Self::default();
        scope.follow(analysis, rest, begin);
        Some(scope)
    }

    fn follow(&mut self, analysis: &Analysis, rest: &Rest<'_>, begin: Vec<PointId>) {
        let network = analysis.network();
        let mut seen: FxHashSet<(PointId, Way)> = FxHashSet::default();
        // The nearest first: what is cut off by the limit is far away.
        let mut open: VecDeque<(PointId, Way)> = begin.into_iter().map(|point| (point, Way::Idle)).collect();
        while let Some((point, way)) = open.pop_front() {
            if !seen.insert((point, way)) {
                continue;
            }
            self.points.insert(point);
            self.nets.insert(network.net(point));
            for (id, edge, other) in network.around(point) {
                let amps = if edge.a == point { rest.amps(id) } else { -rest.amps(id) };
                let next = match (amps.get(), way) {
                    // Leaves the point.
                    (amps, Way::Down | Way::Idle) if amps > NO_AMPS => Way::Down,
                    (amps, Way::Up | Way::Idle) if amps < -NO_AMPS => Way::Up,
                    (amps, Way::Idle) if amps.abs() <= NO_AMPS => Way::Idle,
                    _ => continue,
                };
                self.edges.insert(id);
                if self.points.len() < MOST {
                    open.push_back((other, next));
                }
                // What decides whether it conducts.
                let decides = rest.coil_of(id).into_iter().chain(self.feeds(analysis, id));
                for coil in decides {
                    if self.edges.insert(coil) {
                        let coil = &network[coil];
                        open.extend([(coil.a, Way::Idle), (coil.b, Way::Idle)]);
                    }
                }
            }
        }
    }

    /// The input of a converter, by its output.
    fn feeds(&self, analysis: &Analysis, output: EdgeId) -> Option<EdgeId> {
        let network = analysis.network();
        let element = network[output].element()?;
        let is_output = network[output].role.drives();
        let point = *analysis.model()[element].points.first()?;
        let mut around = network.around(point).filter(|(id, edge, _)| *id != output && edge.element() == Some(element));
        around.next().filter(|_| is_output).map(|(id, ..)| id)
    }

    /// Whether a fault is on the ways.
    pub(super) fn has_fault(&self, network: &Network, suspect: &Suspect) -> bool {
        match suspect.fault {
            Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) | Fault::Welded(edge) | Fault::Stuck(edge) => {
                self.edges.contains(&edge)
            }
            // Ground is on all ways: what is shorted to it decides.
            Fault::Bridged(one, _) if suspect.kind == CauseKind::Shorted => self.nets.contains(&network.net(one)),
            Fault::Bridged(one, other) => self.points.contains(&one) || self.points.contains(&other),
        }
    }

    /// Whether a probe is on the ways.
    pub(super) fn has_probe(&self, probe: Probe) -> bool {
        match probe {
            Probe::Volts { point, .. } => self.points.contains(&point),
            Probe::Works(edge) | Probe::Amps(edge) => self.edges.contains(&edge),
            Probe::Ohms { one, other } => self.points.contains(&one) && self.points.contains(&other),
        }
    }
}
