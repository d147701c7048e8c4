//! The voltages that a mode comes to with changes made in it: a plug inserted, a charging station joined, a wire open.
//!
//! What [`what_if`](super::what_if) gives as a whole state of the mode, without what takes passes over the edges.

#[cfg(test)]
mod tests;

use super::{Electrical, resting::Resting, what_if::Change};
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

/// A mode with changes made in it, to which others are added by turns.
#[derive(Debug)]
pub struct Probing<'e> {
    electrical: &'e Electrical,
    mode: ModeId,
    changes: Vec<Change>,
    /// `None` where no state of rest is known to begin from.
    resting: Option<Resting>,
}

impl Probing<'_> {
    /// What the mode comes to with these changes made in it too.
    #[must_use]
    pub fn with(&self, more: &[Change]) -> Option<Probed> {
        let found = self.resting.as_ref().map(|resting| resting.with(more).whole());
        if let Some(found) = found.filter(|found| found.unsettled.is_empty()) {
            return Some(Probed(found));
        }
        self.electrical.probe(self.mode, &[self.changes.as_slice(), more].concat())
    }
}

impl Electrical {
    /// A mode with `changes` made in it, for many questions what others do beside these; `None` for a mode that was not computed.
    ///
    /// Cost: a state of rest is found again, as once for each mode; then a question costs what its own changes add.
    #[must_use]
    pub fn probing(&self, mode: ModeId, changes: Vec<Change>) -> Option<Probing<'_>> {
        let resting = self.resting(mode)?.followed_by(&self.network, &changes);
        Some(Probing { electrical: self, mode, changes, resting })
    }

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
