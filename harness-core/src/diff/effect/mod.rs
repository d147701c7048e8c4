//! What the changes between two revisions of a design do: findings, currents, heat, margins, nets, and what feeds the loads.
//!
//! Owns the comparison of two analysed designs; what was edited, and who is who, is found elsewhere and comes in as
//! [`Renames`]. Judges nothing: figures and margins are those of `electrical` and of the inspect, verdicts those of the
//! rules. A thing that only one design has is an edit, not an effect. Nothing found says nothing of safety: what neither
//! check can see, neither comparison can.
//!
//! Idea: both sides are laid out as rows by the names that they bear in the newer design, and rows of one name are compared.
//! [`effect`] of a design with itself is empty, and with the designs swapped each row comes with old and new swapped.
//! Cost: the tables of the inspect twice, a few passes over points and edges a mode, sorts.

mod conductors;
mod findings;
mod fuses;
mod loads;
mod modes;
mod nets;
mod threshold;

pub use conductors::{ConductorChange, InMode, Worst};
pub use findings::{FindingChanges, Stayed, Told};
pub use fuses::{FuseChange, MarginChange};
pub use loads::{DropFigure, FuseName, FusesBefore, LoadChange, Supply, SupplyChange};
pub use modes::ModeChanges;
pub use nets::{NetChange, NetName, NetTurn};
pub use threshold::Threshold;

use super::renames::Renames;
use crate::{analysis::Analysis, inspect::Loads, report::Report, threads};
use rustc_hash::FxHashMap;
use std::borrow::Cow;

/// A figure before and after.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pair<T> {
    /// In the older design.
    pub old: T,
    /// In the newer design.
    pub new: T,
}

/// Whether something that a design may have is there no more, or is there now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Turn {
    /// The older design has it, the newer has not.
    Lost,
    /// The newer design has it, the older has not.
    Gained,
}

/// On which side of its limit a figure was and is; the most severe first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Crossing {
    /// It was within and is beyond.
    Out,
    /// It was beyond and still is.
    Beyond,
    /// It was beyond and is within.
    Back,
    /// It was within and still is.
    Within,
}

/// What the changes between two designs do.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Effect {
    /// Findings that came, went, or stayed.
    pub findings: FindingChanges,
    /// Conductors of both designs of which a figure changed by more than the threshold, the most severe first, then by name.
    pub conductors: Vec<ConductorChange>,
    /// Fuses of both designs of which a figure changed by more than the threshold, likewise.
    pub fuses: Vec<FuseChange>,
    /// Loads, coils, converters and batteries of both designs whose supply, fuse or drop changed, likewise.
    pub loads: Vec<LoadChange>,
    /// Nets that were split, then those that were joined, the one with the most points first.
    pub nets: Vec<NetChange>,
    /// Modes that one design alone has, and those whose figures can't be relied on.
    pub modes: ModeChanges,
}

impl Effect {
    /// Whether the changes do nothing: no finding came, went or changed, no figure moved past its threshold. Modes that
    /// was not solved in both designs do not count.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.findings.is_empty()
            && self.conductors.is_empty()
            && self.fuses.is_empty()
            && self.loads.is_empty()
            && self.nets.is_empty()
            && self.modes.only_old.is_empty()
            && self.modes.only_new.is_empty()
    }
}

/// What the changes from `old` to `new` do, each with the report of its check; figures that change by less than `threshold`
/// are left out, findings never are.
#[must_use]
pub fn effect(
    old: &Analysis,
    old_report: &Report,
    new: &Analysis,
    new_report: &Report,
    renames: &Renames,
    threshold: Threshold,
) -> Effect {
    let designs = Pair { old, new };
    // Loads and nets ask nothing of the rows; both halves cost about the same.
    let joints = || (loads::compare(designs, renames, &threshold), nets::compare(designs, renames));
    let figures = || {
        let rows = Pair { old: Loads::of(old), new: Loads::of(new) };
        let findings = findings::compare(Pair { old: old_report, new: new_report }, renames);
        let conductors = conductors::compare(designs, &rows, renames, &threshold);
        (findings, conductors, fuses::compare(&rows, renames, &threshold))
    };
    let ((loads, nets), (findings, conductors, fuses)) = threads::both(joints, figures);
    Effect { findings, conductors, fuses, loads, nets, modes: modes::compare(designs) }
}

/// The name that a thing of both designs had, where it was another.
fn was(old: &str, new: &str) -> Option<String> {
    (old != new).then(|| old.to_owned())
}

/// Items that both designs have, by the name that they bear in the newer, in its order. Of items of one name the first
/// counts: a name given twice is a finding.
fn twins<'a, A, B>(
    old: impl Iterator<Item = (Cow<'a, str>, A)>,
    new: impl Iterator<Item = (Cow<'a, str>, B)>,
    renames: &Renames,
) -> Vec<(Pair<Cow<'a, str>>, A, B)> {
    let mut known: FxHashMap<String, (Cow<'a, str>, A)> = FxHashMap::default();
    for (name, item) in old {
        if let Some(successor) = renames.successor(&name) {
            let successor = successor.into_owned();
            known.entry(successor).or_insert((name, item));
        }
    }
    let paired = new.filter_map(|(name, item)| {
        let (before, old_item) = known.remove(name.as_ref())?;
        Some((Pair { old: before, new: name }, old_item, item))
    });
    paired.collect()
}
