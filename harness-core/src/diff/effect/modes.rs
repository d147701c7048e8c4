//! Modes of both designs, compared by name.

use super::Pair;
use crate::{analysis::Analysis, electrical::ModeState};
use std::collections::BTreeSet;

/// How the modes of two designs compare. Each list is in the order written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ModeChanges {
    /// Modes that both designs have: in these they are compared mode by mode.
    pub both: Vec<String>,
    /// Modes that the older design alone has. The worst figures of its things may be from these.
    pub only_old: Vec<String>,
    /// Modes that the newer design alone has, likewise.
    pub only_new: Vec<String>,
    /// Modes without a steady state, in each design: their currents are not known.
    pub unsettled: Pair<Vec<String>>,
}

fn name(analysis: &Analysis, mode: &ModeState) -> String {
    analysis.model().mode_name(mode.id).to_owned()
}

pub(super) fn compare(designs: Pair<&Analysis>) -> ModeChanges {
    let written = |analysis: &Analysis, wanted: fn(&ModeState) -> bool| {
        let modes = analysis.electrical().modes_as_written().into_iter().filter(|mode| wanted(mode));
        modes.map(|mode| name(analysis, mode)).collect::<Vec<_>>()
    };
    let all = |analysis: &Analysis| written(analysis, |_| true);
    let unsettled = |analysis: &Analysis| written(analysis, |mode| !mode.is_settled());
    let (old, new) = (all(designs.old), all(designs.new));
    let known: Pair<BTreeSet<&String>> = Pair { old: old.iter().collect(), new: new.iter().collect() };
    let pick = |list: &[String], other: &BTreeSet<&String>, both: bool| {
        list.iter().filter(|name| other.contains(name) == both).cloned().collect::<Vec<_>>()
    };
    ModeChanges {
        both: pick(&new, &known.old, true),
        only_old: pick(&old, &known.new, false),
        only_new: pick(&new, &known.old, false),
        unsettled: Pair { old: unsettled(designs.old), new: unsettled(designs.new) },
    }
}

/// The modes that both designs have, in the order of the newer.
pub(super) fn common(designs: Pair<&Analysis>) -> Vec<Pair<&ModeState>> {
    let of_old = |wanted: &str| designs.old.electrical().modes().find(|mode| designs.old.model().mode_name(mode.id) == wanted);
    let modes = designs.new.electrical().modes_as_written().into_iter();
    modes.filter_map(|new| Some(Pair { old: of_old(designs.new.model().mode_name(new.id))?, new })).collect()
}
