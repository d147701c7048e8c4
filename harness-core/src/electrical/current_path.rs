//! Which way the current of a mode comes and goes: from any point upstream to the pole that feeds it, or downstream to the
//! pole it returns to.
//!
//! Idea: at each point the way goes on along the edge that brings (or takes) the most current. Current runs downhill outside
//! of sources, so a way never meets itself. What was summed up for a point is kept, so that all ways together cost one pass.
//!
//! A source at its limit raises its own pole until its current is taken; the volts between that pole and a load are lost by all
//! that it feeds, batteries included. What a load loses is then measured from a source that holds its voltage, if one feeds it
//! too: [`CurrentPath::from_firm`].

use super::ModeState;
use crate::{
    arena::IdVec,
    model::PointId,
    network::{Edge, EdgeId, Network, Step},
    quantity::{Ampere, Volt},
};
use std::{
    cmp::{Ordering, Reverse},
    collections::BinaryHeap,
};

/// Share of the largest current into a point below which an edge does not count as its feed: leaks, and what is rounding.
const LEAST_SHARE: f64 = 1e-3;
/// Current below which an edge leads nowhere, in ampere.
const NOTHING: f64 = 1e-9;

/// The way to follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Against the current, to the pole that it comes from.
    Feed,
    /// With the current, to the pole that it goes back to.
    Return,
}

/// For each point of a mode the edge along which its current comes or goes.
#[derive(Debug)]
pub struct CurrentPath<'a> {
    network: &'a Network,
    mode: &'a ModeState,
    direction: Direction,
    next: IdVec<PointId, Option<EdgeId>>,
}

/// What is between a point and the pole of its source.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Loss {
    /// The source or converter output that the way ends at; `None` where it ends at nothing.
    pub source: Option<EdgeId>,
    /// Volts lost in conductors, contacts, fuses and closed switches.
    pub volts: Volt,
    /// The edge that costs most, and its volts.
    pub worst: Option<(EdgeId, Volt)>,
    /// A conductor on the way has no length or no size: its volts are not counted.
    pub is_partial: bool,
}

/// A point that a way from a source comes to; the order is that in which points are taken.
#[derive(Debug, Clone, Copy)]
struct Reach {
    is_partial: bool,
    volts: Volt,
    point: PointId,
    /// The edge that leads back.
    edge: EdgeId,
}

impl Ord for Reach {
    fn cmp(&self, other: &Self) -> Ordering {
        let volts = self.volts.total_cmp(other.volts);
        self.is_partial.cmp(&other.is_partial).then(volts).then((self.point, self.edge).cmp(&(other.point, other.edge)))
    }
}

impl PartialOrd for Reach {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Reach {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Reach {}

impl<'a> CurrentPath<'a> {
    /// The ways of one mode. Cost: one pass over the edges.
    #[must_use]
    pub fn new(network: &'a Network, mode: &'a ModeState, direction: Direction) -> Self {
        let mut next: IdVec<PointId, Option<(EdgeId, Ampere)>> = IdVec::of(None, network.point_count());
        for (id, edge) in network.edges() {
            let amps = mode.working_amps(id, edge);
            if amps.abs().get() <= NOTHING {
                continue;
            }
            let (from, to) = if amps > Ampere::ZERO { (edge.a, edge.b) } else { (edge.b, edge.a) };
            let point = match direction {
                Direction::Feed => to,
                Direction::Return => from,
            };
            let slot = &mut next[point];
            if slot.is_none_or(|(_, most)| amps.abs() > most) {
                *slot = Some((id, amps.abs()));
            }
        }
        let next = next.items().iter().map(|slot| slot.map(|(id, _)| id)).collect();
        Self { network, mode, direction, next }
    }

    /// The same, but what a source that holds its voltage feeds is followed to the one of these from which the fewest volts are lost.
    /// A way on which every conductor has a length and a size is preferred. What only sources at their limit feed is followed along
    /// the most current. Cost: a pass over the edges, and a search from the sources.
    #[must_use]
    pub fn from_firm(network: &'a Network, mode: &'a ModeState, direction: Direction) -> Self {
        let mut path = Self::new(network, mode, direction);
        if mode.limiting.is_empty() && network.edges().filter(|(id, edge)| path.is_pole(*id, edge)).nth(1).is_none() {
            return path;
        }
        // Which edges lead on from each point, away from the sources.
        let mut onward: IdVec<PointId, Vec<EdgeId>> = IdVec::of(Vec::new(), network.point_count());
        let mut waiting = BinaryHeap::new();
        for (id, edge) in network.edges() {
            let amps = mode.working_amps(id, edge);
            let (from, to) = if (amps > Ampere::ZERO) == (direction == Direction::Feed) { (edge.a, edge.b) } else { (edge.b, edge.a) };
            if path.is_pole(id, edge) {
                // One at its limit begins no way.
                if mode.limiting.binary_search(&id).is_err() {
                    waiting.push(Reverse(Reach { is_partial: false, volts: Volt::ZERO, point: to, edge: id }));
                }
            } else if amps.abs().get() > NOTHING && mode.conducts(id) && amps.abs() >= path.amps_from(to) * LEAST_SHARE {
                onward[from].push(id);
            }
        }
        let mut reached: IdVec<PointId, bool> = IdVec::of(false, network.point_count());
        while let Some(Reverse(reach)) = waiting.pop() {
            if std::mem::replace(&mut reached[reach.point], true) {
                continue;
            }
            path.next[reach.point] = Some(reach.edge);
            for &edge in &onward[reach.point] {
                let point = network[edge].other(reach.point);
                if !reached[point] {
                    let (volts, is_partial) = path.volts(edge).map_or((Volt::ZERO, true), |volts| (volts, reach.is_partial));
                    waiting.push(Reverse(Reach { is_partial, volts: reach.volts + volts, point, edge }));
                }
            }
        }
        path
    }

    /// Whether an edge is a source that gives current.
    fn is_pole(&self, id: EdgeId, edge: &Edge) -> bool {
        edge.role.drives() && self.mode.amps(id).get() > NOTHING
    }

    /// The next step from `point`, or the source whose pole it is.
    fn step(&self, point: PointId) -> Option<Result<Step, EdgeId>> {
        let id = self.next[point]?;
        let edge = &self.network[id];
        // A source runs from its negative to its positive pole; one that is charged is passed like any other element.
        if edge.role.drives() && self.mode.amps(id) > Ampere::ZERO {
            return Some(Err(id));
        }
        Some(Ok(Step { edge: id, point: edge.other(point) }))
    }

    /// Whether current comes or goes at `point`.
    #[must_use]
    pub fn is_on_the_way(&self, point: PointId) -> bool {
        self.next[point].is_some()
    }

    /// The current along the way at `point`, by amount.
    #[must_use]
    pub fn amps_from(&self, point: PointId) -> Ampere {
        self.next[point].map_or(Ampere::ZERO, |edge| self.mode.amps(edge).abs())
    }

    /// The way from `start` to the pole of its source, step by step.
    #[must_use]
    pub fn way(&self, start: PointId) -> Vec<Step> {
        let mut steps = Vec::new();
        let mut at = start;
        // A way is never longer than the network; rounding could close one.
        while let Some(Ok(step)) = self.step(at)
            && steps.len() <= self.network.point_count()
        {
            at = step.point;
            steps.push(step);
        }
        steps
    }

    /// What is lost on the way of each of `starts`. Cost: one pass over what they reach.
    #[must_use]
    pub fn losses(&self, starts: &[PointId]) -> Vec<Loss> {
        let mut known: IdVec<PointId, Option<Loss>> = IdVec::of(None, self.network.point_count());
        let mut waiting: Vec<(PointId, EdgeId)> = Vec::new();
        let mut losses = Vec::with_capacity(starts.len());
        for &start in starts {
            let mut at = start;
            let mut loss = loop {
                if let Some(loss) = known[at] {
                    break loss;
                }
                // Marked while it is being walked, which ends a way that meets itself.
                known[at] = Some(Loss::default());
                match self.step(at) {
                    Some(Ok(step)) => {
                        waiting.push((at, step.edge));
                        at = step.point;
                    }
                    end => {
                        let loss = Loss { source: end.and_then(Result::err), ..Loss::default() };
                        known[at] = Some(loss);
                        break loss;
                    }
                }
            };
            while let Some((point, edge)) = waiting.pop() {
                loss = self.with(loss, edge);
                known[point] = Some(loss);
            }
            losses.push(loss);
        }
        losses
    }

    fn with(&self, mut loss: Loss, id: EdgeId) -> Loss {
        match self.volts(id) {
            Some(volts) => {
                loss.volts += volts;
                if volts > Volt::ZERO && loss.worst.is_none_or(|(_, most)| volts > most) {
                    loss.worst = Some((id, volts));
                }
            }
            None => loss.is_partial = true,
        }
        loss
    }

    /// Volts lost along an edge: none in what is meant to take them, such as a diode; `None` where they are not known.
    #[must_use]
    pub fn volts(&self, id: EdgeId) -> Option<Volt> {
        let edge = &self.network[id];
        if let Some(wire) = edge.wire().map(|wire| &self.network.model()[wire])
            && (wire.length.is_none() || wire.size.is_none())
        {
            return None;
        }
        let lost = (self.mode.volts(edge.a) - self.mode.volts(edge.b)).abs();
        Some(if edge.role.loses_volts() { lost } else { Volt::ZERO })
    }

    /// The way that is followed.
    #[must_use]
    pub fn direction(&self) -> Direction {
        self.direction
    }
}
