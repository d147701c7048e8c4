//! What distinguishes causes that look alike with everything on: a resistance with the power off, across the place itself.

use super::{
    access::cost,
    next::bits,
    ohms,
    probe::{Probe, Seen},
    search::Weighed,
    shows::Shown,
    suspect::Suspect,
};
use crate::{
    electrical::single_faults::Fault,
    model::PointId,
    network::{EdgeId, Network},
};
use std::collections::{BTreeSet, VecDeque};

/// A resistance that distinguishes the causes of one line.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Decides {
    /// Between which points.
    pub probe: Probe,
    /// What each of the causes shows there, in their order.
    pub answers: Vec<Seen>,
}

/// Causes of one line up to which something is looked for that distinguishes them.
const MOST_CAUSES: usize = 24;
/// Pairs of points that are tried.
const MOST_PAIRS: usize = 6;
/// Steps from a place to where a probe reaches.
const MOST_STEPS: usize = 6;
/// Bits that are worth switching everything off.
const WORTH: f64 = 0.3;

impl Weighed<'_> {
    /// The resistance that distinguishes most of these causes; `None` where none does, or they are one.
    ///
    /// Cost: two solutions for each pair of points that is tried.
    pub(super) fn decides(&self, causes: &[(&[Suspect], &Shown)], taken: &[Probe]) -> Option<Decides> {
        if causes.len() < 2 || causes.len() > MOST_CAUSES {
            return None;
        }
        let from = (self.search.analysis, self.lasting().rest());
        let mut pairs: BTreeSet<Probe> = BTreeSet::new();
        for suspect in causes.iter().flat_map(|(set, _)| set.iter()) {
            let ends = self.ends(suspect.fault).filter(|(one, other)| one != other && self.has(*one) && self.has(*other));
            if let Some((one, other)) = ends {
                pairs.insert(Probe::Ohms { one: one.min(other), other: one.max(other) });
            }
        }
        let probes: Vec<Probe> = pairs.into_iter().filter(|probe| !taken.contains(probe)).take(MOST_PAIRS).collect();
        let sets: Vec<&[Suspect]> = causes.iter().map(|(set, _)| *set).collect();
        let own = |(place, (_, shown)): (usize, &(&[Suspect], &Shown))| Shown {
            place,
            is_known: true,
            opens: shown.opens.clone(),
            differs: Vec::new(),
        };
        let mut shown: Vec<Shown> = causes.iter().enumerate().map(own).collect();
        let mut sound = vec![Seen::exactly(0.0); probes.len()];
        ohms::add(from, &sets, &probes, &mut sound, &mut shown);
        let mut best: Option<(f64, Decides)> = None;
        for (at, probe) in probes.into_iter().enumerate() {
            let answers: Vec<Seen> =
                shown.iter().map(|shown| shown.at(at, sound.get(at).copied().unwrap_or(Seen::exactly(0.0)))).collect();
            let often = causes.iter().map(|(set, _)| set.iter().map(|suspect| suspect.often).product());
            let bits = bits(probe, answers.iter().copied().zip(often).collect(), self.search.noise);
            if bits >= WORTH && best.as_ref().is_none_or(|(most, _)| bits > *most) {
                best = Some((bits, Decides { probe, answers }));
            }
        }
        best.map(|(_, decides)| decides)
    }

    /// Whether anything is known of a point: in a large design what is far away is cut off.
    fn has(&self, point: PointId) -> bool {
        let rest = self.lasting().rest();
        self.search.analysis.network().around(point).any(|(id, ..)| rest.has(id))
    }

    /// The points nearest to a place, one on each side, where probes reach.
    fn ends(&self, fault: Fault) -> Option<(PointId, PointId)> {
        let network = self.search.analysis.network();
        match fault {
            Fault::Bridged(one, other) => Some((self.nearest(network, one, None)?, self.nearest(network, other, None)?)),
            Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) | Fault::Welded(edge) | Fault::Stuck(edge) => {
                let ends = &network[edge];
                Some((self.nearest(network, ends.a, Some(edge))?, self.nearest(network, ends.b, Some(edge))?))
            }
        }
    }

    /// The nearest point that a probe reaches, over metal that is not `except`.
    fn nearest(&self, network: &Network, from: PointId, except: Option<EdgeId>) -> Option<PointId> {
        let analysis = self.search.analysis;
        let mut seen: BTreeSet<PointId> = BTreeSet::from([from]);
        let mut open: VecDeque<(PointId, usize)> = VecDeque::from([(from, 0)]);
        while let Some((point, steps)) = open.pop_front() {
            let is_at_fuse = network.around(point).any(|(_, edge, _)| edge.role.is_fuse());
            if cost(analysis, point, is_at_fuse).is_some() {
                return Some(point);
            }
            if steps < MOST_STEPS {
                let around = network.around(point).filter(|(id, edge, _)| Some(*id) != except && edge.is_metal());
                let next: BTreeSet<PointId> = around.map(|(.., other)| other).filter(|other| seen.insert(*other)).collect();
                open.extend(next.into_iter().map(|point| (point, steps + 1)));
            }
        }
        None
    }
}
