//! The voltages that a mode comes to with changes made in it: a plug inserted, a charging station joined, a wire open.
//!
//! What [`what_if`](super::what_if) gives as a whole state of the mode, without what takes passes over the edges.

use super::{Electrical, what_if::Change};
use crate::{
    circuit::{Operating, solve::solve},
    model::{ModeId, PointId},
    quantity::Volt,
};

/// What was found.
#[derive(Debug)]
pub struct Probed(Operating);

impl Probed {
    /// The voltage of `one` against `other`; `None` where nothing that conducts joins them, so that neither has a voltage against the other.
    #[must_use]
    pub fn between(&self, one: PointId, other: PointId) -> Option<Volt> {
        let island = |point: PointId| self.0.island.get(point.index());
        if island(one)? != island(other)? {
            return None;
        }
        Some(*self.0.volts.get(one.index())? - *self.0.volts.get(other.index())?)
    }

    /// Whether a source that is on is joined to a point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.0.live.get(point.index()).copied().unwrap_or_default()
    }

    /// Whether one state was found: figures of another are not to be trusted.
    #[must_use]
    pub const fn is_settled(&self) -> bool {
        self.0.unsettled.is_empty()
    }
}

impl Electrical {
    /// What a mode comes to once `changes` are made in it; `None` for a mode that was not computed.
    ///
    /// Cost: as [`altered`](Self::altered).
    #[must_use]
    pub fn probe(&self, mode: ModeId, changes: &[Change]) -> Option<Probed> {
        let found = self.resting(mode)?.with(changes).whole();
        if found.unsettled.is_empty() {
            return Some(Probed(found));
        }
        Some(Probed(solve(&self.altered_circuit(mode, changes))))
    }
}
