//! Relays and converters that go round in circles where all of them move at once, tried one after the other.
//!
//! Idea: from the setting in which the search began and from the one in which it went round in circles, each of those that contradict
//! the voltages moves alone, and all at once; so does what contradicts then, until no new setting comes. If one setting alone is at
//! rest, that is the state, and what raced for it is named. If several are, which is reached depends on which relay is faster, and
//! the design does not say that. Cost: one search for each setting, at most [`SETTINGS`], and only where the ordinary search fails.

use super::{search::Search, states::Behaviour};
use crate::circuit::BranchKind;
use std::collections::{BTreeSet, VecDeque};

/// Settings of relays and converters after which no further one is tried.
const SETTINGS: usize = 64;

/// Which coils and converters are on, ascending.
type Setting = Vec<u32>;

impl Search<'_> {
    /// Looks for the one setting at rest, after a search that ended with `unsettled`; gives these if there is none.
    pub(super) fn in_turn(&mut self, unsettled: Vec<u32>) -> Vec<u32> {
        let circle = self.on();
        let mut known: BTreeSet<Setting> = [circle.clone(), self.first.clone()].into();
        let mut waiting: VecDeque<Setting> = known.iter().cloned().collect();
        let mut found: Vec<Setting> = Vec::new();
        let mut low: Vec<Setting> = Vec::new();
        while let Some(setting) = waiting.pop_front() {
            self.set(&setting);
            let Ok(switching) = self.settle() else { continue };
            self.note_turns(&switching);
            if switching.is_empty() {
                found.push(setting);
                continue;
            }
            if self.settle_low().is_ok_and(|switching| switching.is_empty()) {
                low.push(setting.clone());
            }
            let alone = switching.iter().map(std::slice::from_ref);
            for turned in alone.chain([switching.as_slice()]) {
                let next = turned_over(&setting, turned);
                if known.len() < SETTINGS && known.insert(next.clone()) {
                    waiting.push_back(next);
                }
            }
        }
        // A state in which loads are short of voltage counts where there is no other.
        let is_low = found.is_empty();
        let end = if let [one] = if is_low { low.as_slice() } else { found.as_slice() } { one } else { &circle };
        self.set(end);
        let settled = if is_low && low.len() == 1 { self.settle_low() } else { self.settle() };
        let rests = settled.is_ok_and(|switching| switching.is_empty());
        if !rests {
            return unsettled;
        }
        self.raced = unsettled;
        Vec::new()
    }

    /// The state of the setting that is found from loads without their voltage and sources at their limit; it may differ from the one
    /// that rises from no current.
    fn settle_low(&mut self) -> Result<Vec<u32>, Vec<u32>> {
        for load in self.states.loads().to_vec() {
            if self.states.ever_draws(load) {
                self.states.enter(load, Behaviour::Starves);
            }
        }
        for source in self.states.one_way().to_vec() {
            if matches!(self.states.kind(source), BranchKind::Source { .. }) && !self.states.held_off.at(source) {
                self.states.enter(source, Behaviour::Limits);
            }
        }
        self.settle()
    }

    /// Turns over what is not as in this setting.
    fn set(&mut self, setting: &[u32]) {
        let on = self.on();
        let differs = |number: &u32| on.binary_search(number).is_ok() != setting.binary_search(number).is_ok();
        let both = self.states.coils().iter().chain(self.states.inputs()).copied();
        let turned: Vec<u32> = both.filter(differs).collect();
        self.turn_over(&turned);
        self.draws.forget();
    }
}

fn turned_over(setting: &[u32], turned: &[u32]) -> Setting {
    let mut next: BTreeSet<u32> = setting.iter().copied().collect();
    for number in turned {
        if !next.remove(number) {
            next.insert(*number);
        }
    }
    next.into_iter().collect()
}
