//! Which way the current of a mode comes and goes: from any point upstream to the pole that feeds it, or downstream to the
//! pole it returns to.
//!
//! Idea: at each point the way goes on along the edge that brings (or takes) the most current. Current runs downhill outside
//! of sources, so a way never meets itself. What was summed up for a point is kept, so that all ways together cost one pass.

use super::ModeState;
use crate::{
    arena::IdVec,
    model::PointId,
    network::{EdgeId, Network, Step},
    quantity::{Ampere, Volt},
};

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
