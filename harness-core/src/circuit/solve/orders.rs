//! Relays and converters that go round in circles where all of them move at once, tried one after the other.
//!
//! Idea: from the setting in which the search began and from the one in which it went round in circles, each of those that contradict
//! the voltages moves alone, and all at once; so does what contradicts then, until no new setting comes. If one setting alone is at
//! rest, that is the state, and what raced for it is named. If several are, which is reached depends on which relay is faster, and
//! the design does not say that. A load of constant power can have two states in one setting: both are tried, that at the higher
//! voltage first. Cost: up to three searches for each setting, at most [`SETTINGS`], and only where the ordinary search fails.

use super::{
    search::Search,
    states::{Behaviour, States},
};
use crate::circuit::BranchKind;
use std::collections::{BTreeSet, VecDeque};

/// Settings of relays and converters after which no further one is tried.
const SETTINGS: usize = 64;

/// Which coils and converters are on, ascending.
type Setting = Vec<u32>;

/// Where the search for the state of a setting begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Start {
    /// With what the setting before left.
    Before,
    /// With no load drawing anything yet.
    Unloaded,
    /// With loads that have no voltage, and sources at their limit.
    Down,
}

impl Search<'_> {
    /// Looks for the one setting at rest, after a search that ended with `unsettled`; gives these if there is none.
    pub(super) fn in_turn(&mut self, unsettled: Vec<u32>) -> Vec<u32> {
        let circle = self.on();
        let mut known: BTreeSet<Setting> = [circle.clone(), self.first.clone()].into();
        let mut waiting: VecDeque<Setting> = known.iter().cloned().collect();
        let (mut up, mut down) = (Vec::new(), Vec::new());
        while let Some(setting) = waiting.pop_front() {
            let Ok(switching) = self.settle_in(&setting, Start::Before) else { continue };
            self.note_turns(&switching);
            if switching.is_empty() {
                up.push((setting, Start::Before));
                continue;
            }
            for start in [Start::Unloaded, Start::Down] {
                if self.settle_in(&setting, start).is_ok_and(|switching| switching.is_empty()) {
                    if start == Start::Down { &mut down } else { &mut up }.push((setting.clone(), start));
                    break;
                }
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
        let found = if up.is_empty() { down } else { up };
        if let [(setting, start)] = found.as_slice()
            && self.settle_in(setting, *start).is_ok_and(|switching| switching.is_empty())
        {
            self.raced = unsettled;
            return Vec::new();
        }
        // The last state is reported, so it is that in which the search ended.
        let _ = self.settle_in(&circle, Start::Before);
        unsettled
    }

    /// Turns over what is not as in this setting, and searches.
    fn settle_in(&mut self, setting: &[u32], start: Start) -> Result<Vec<u32>, Vec<u32>> {
        let on = self.on();
        let differs = |number: &u32| on.binary_search(number).is_ok() != setting.binary_search(number).is_ok();
        let both = self.states.coils().iter().chain(self.states.inputs()).copied();
        let turned: Vec<u32> = both.filter(differs).collect();
        self.turn_over(&turned);
        start.apply(&mut self.states);
        self.draws.forget();
        self.settle()
    }
}

impl Start {
    fn apply(self, states: &mut States) {
        let (load, source) = match self {
            Self::Before => return,
            Self::Unloaded => (Behaviour::Draws, Behaviour::Conducts),
            Self::Down => (Behaviour::Starves, Behaviour::Limits),
        };
        for number in states.loads().to_vec() {
            if states.ever_draws(number) {
                states.enter(number, load);
            }
        }
        for number in states.one_way().to_vec() {
            if matches!(states.kind(number), BranchKind::Source { .. }) && !states.held_off.at(number) {
                states.enter(number, source);
            }
        }
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
