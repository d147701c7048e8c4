//! In which other modes faults show that show nowhere in the mode at hand: where to look on when everything there is as it should be.

use super::{
    search::{Search, Weighed},
    suspect::{CauseKind, Suspect},
};
use crate::{analysis::Analysis, electrical::single_faults::Fault, model::ModeId, quantity::Ratio};
use std::collections::BTreeSet;

/// Standard deviations between two answers that a meter does not confuse.
const APART: f64 = 4.0;

/// Faults that show nowhere in a mode.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Silent {
    /// How many there are.
    pub faults: usize,
    /// The other modes in which some of them show, with how many do, those of most first.
    pub shown_in: Vec<(ModeId, usize)>,
    /// How many show in none: what carries next to nothing in any mode, and contacts beside each other that are at one voltage.
    pub nowhere: usize,
}

/// A fault with its range of resistances, the same in every mode.
type Key = (CauseKind, Fault, u64);

impl Silent {
    /// Those of a mode among all that were computed; `None` where the mode was not, or the design is too large to try every fault in every mode.
    ///
    /// Cost: every fault in every mode.
    #[must_use]
    pub fn of(analysis: &Analysis, mode: ModeId, noise: Option<Ratio>) -> Option<Self> {
        let own = Search::new(analysis, mode, noise).filter(|search| !search.is_large())?;
        let silent = own.weighed(&[]).keys(false);
        let mut nowhere = silent.clone();
        let mut shown_in = Vec::new();
        for state in analysis.electrical().modes_as_written().iter().filter(|state| state.id != mode) {
            let Some(other) = Search::new(analysis, state.id, noise) else { continue };
            let shown = other.weighed(&[]).keys(true);
            let found = silent.intersection(&shown).count();
            if found > 0 {
                shown_in.push((state.id, found));
            }
            nowhere = nowhere.difference(&shown).copied().collect();
        }
        shown_in.sort_by_key(|(mode, found)| (std::cmp::Reverse(*found), *mode));
        Some(Self { faults: silent.len(), shown_in, nowhere: nowhere.len() })
    }
}

impl Weighed<'_> {
    /// The faults that show somewhere, or those that show nowhere.
    fn keys(&self, is_shown: bool) -> BTreeSet<Key> {
        let apart = |(at, seen): &(u32, super::probe::Seen)| {
            let at = *at as usize;
            let figures = self.probes.get(at).zip(self.sound.get(at));
            figures.is_some_and(|(probe, sound)| {
                let deviation = probe.deviation(*seen, self.search.noise).max(probe.deviation(*sound, self.search.noise));
                !seen.is_like(sound, APART * deviation)
            })
        };
        let known = self.singles.known().filter(|(.., shown)| shown.differs.iter().any(apart) == is_shown);
        known.filter_map(|(_, set, _)| set.first().map(key)).collect()
    }
}

fn key(suspect: &Suspect) -> Key {
    let [least, _] = suspect.raised;
    (suspect.kind, suspect.fault, least.get().to_bits())
}
