//! A mode solved once more with something outside the design joined to it: a charging station, a plug with its coded resistor.
//!
//! Owns what [`what_if`](super::what_if) can't: branches that the design does not have. Conductors are cold, and second states are not sought.

use super::{Electrical, what_if::Change};
use crate::{
    circuit::{Branch, BranchKind, solve::solve},
    model::{ModeId, PointId},
    quantity::{Ohm, Volt},
};

/// What is joined to two points of a design from outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outside {
    /// A source behind a resistance.
    Source {
        /// Its negative pole.
        negative: PointId,
        /// Its positive pole.
        positive: PointId,
        /// Its open-circuit voltage.
        emf: Volt,
        /// Its resistance.
        resistance: Ohm,
    },
    /// A resistor.
    Resistor(PointId, PointId, Ohm),
}

/// What was found.
#[derive(Debug)]
pub struct Probed {
    volts: Vec<Volt>,
    island: Vec<u32>,
    live: Vec<bool>,
    settled: bool,
}

impl Probed {
    /// The voltage of `one` against `other`; `None` where nothing that conducts joins them, so that neither has a voltage against the other.
    #[must_use]
    pub fn between(&self, one: PointId, other: PointId) -> Option<Volt> {
        let island = |point: PointId| self.island.get(point.index());
        if island(one)? != island(other)? {
            return None;
        }
        Some(*self.volts.get(one.index())? - *self.volts.get(other.index())?)
    }

    /// Whether a source that is on is joined to a point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.live.get(point.index()).copied().unwrap_or_default()
    }

    /// Whether one state was found: figures of another are not to be trusted.
    #[must_use]
    pub const fn is_settled(&self) -> bool {
        self.settled
    }
}

impl Electrical {
    /// What a mode comes to once `changes` are made in it and `outside` is joined to it; `None` for a mode that was not computed.
    ///
    /// Cost: one solution of the network.
    #[must_use]
    pub fn probe(&self, mode: ModeId, changes: &[Change], outside: &[Outside]) -> Option<Probed> {
        self.in_mode(mode)?;
        let mut circuit = self.altered_circuit(mode, changes);
        let node = |point: PointId| point.index() as u32;
        circuit.branches.extend(outside.iter().map(|outside| match *outside {
            Outside::Source { negative, positive, emf, resistance } => {
                Branch { from: node(negative), to: node(positive), kind: BranchKind::Source { emf, resistance, limit: None } }
            }
            Outside::Resistor(one, other, ohms) => {
                Branch { from: node(one), to: node(other), kind: BranchKind::Resistance(ohms) }
            }
        }));
        let found = solve(&circuit);
        Some(Probed { volts: found.volts, island: found.island, live: found.live, settled: found.unsettled.is_empty() })
    }
}
