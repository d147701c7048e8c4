//! Relays and converters that go round in circles where all of them move at once, moved in every order.
//!
//! Idea: from the setting in which the search began and from the one in which it went round in circles, every choice of those that
//! contradict the voltages moves, and of those that contradict then, until no new state comes. Each circuit of the network is searched
//! alone, the others as they are. If one setting alone is at rest, that is the state, and what raced for it is named. If several are,
//! which is reached depends on which relay is faster, and the design does not say that. A load of constant power can have two states in
//! one setting: those at the higher voltage are searched first, those in which loads are short of voltage where they lead to nothing.
//! Cost: the states that can be reached, at most [`TRIES`] tries and fewer where the network is large, each a search of its own.

use super::{
    Search,
    setting::{Setting, Settled, Start, State},
};
use crate::circuit::{Branch, BranchKind, solve::table::Table};
use petgraph::unionfind::UnionFind;
use std::{
    collections::{BTreeMap, BTreeSet, VecDeque},
    rc::Rc,
};

/// Tries after which none follows, and the fewest that are made however large the network is.
const TRIES: usize = 600;
const FEWEST: usize = 64;
/// Tries by branches after which none follows.
const WORK: usize = 200_000;
/// The same of solutions.
const SOLUTIONS: usize = 500_000;
const FEWEST_SOLUTIONS: usize = 2_000;
/// Searches of one setting in a row without a new state after which it counts as known.
const IN_VAIN: u32 = 4;
/// As many as move in every choice; of more, one by one, two by two and all.
const CHOICES: usize = 5;
/// Relative difference of voltages from which on two states are two.
const SAME: f64 = 1e-5;

/// What the search of one circuit found.
#[derive(Default)]
struct Found {
    /// Settings at rest, each with its state.
    rest: BTreeMap<Setting, Rc<State>>,
    /// Per setting, the voltages of its states.
    known: BTreeMap<Setting, Vec<Vec<f64>>>,
    /// Settings that were searched from nothing drawn.
    sought: BTreeSet<Setting>,
    /// Settings that have one state alone: the one at the highest voltages is the one at the lowest.
    alone: BTreeSet<Setting>,
    /// Per setting, how often in a row no new state of it was found.
    in_vain: BTreeMap<Setting, u32>,
    /// Settings to search, with the state before.
    waiting: VecDeque<(Setting, Rc<State>)>,
    tried: usize,
}

/// What became of one circuit.
enum Outcome {
    /// One setting is at rest, and the circuit is left in it.
    Rest,
    /// None is, whatever switches first.
    None,
    /// Several are; these are on in one of them and off in another.
    Several(Setting),
    /// None was found, but not all that could be reached was tried, or is known.
    Unknown,
}

impl Search<'_> {
    /// Looks in each circuit for the one setting at rest, after a search that ended with `unsettled`; gives those that have none.
    pub(super) fn in_turn(&mut self, unsettled: Vec<u32>) -> Vec<u32> {
        let circle = self.states.snapshot();
        let circuits = self.circuits();
        let circuit_of = |number: u32| circuits.at(number);
        let mut names: Vec<u32> = unsettled.iter().map(|number| circuit_of(*number)).collect();
        names.sort_unstable();
        names.dedup();
        let both: Vec<u32> = self.states.coils().iter().chain(self.states.inputs()).copied().collect();
        let mut restless = Vec::new();
        let mut raced = Vec::new();
        (self.contested, self.unexplored) = (Vec::new(), Vec::new());
        for name in names {
            let within: Vec<u32> = both.iter().copied().filter(|number| circuit_of(*number) == name).collect();
            let its = unsettled.iter().copied().filter(|number| circuit_of(*number) == name);
            match self.come_to_rest(&within) {
                Outcome::Rest => raced.extend(its),
                Outcome::None => restless.extend(its),
                Outcome::Several(contested) => {
                    // Whether a state of a ring of converters withstands a push is not asked.
                    if self.has_ring(&within) {
                        self.unexplored.extend(its.clone());
                    }
                    restless.extend(its);
                    self.contested.extend(contested);
                }
                Outcome::Unknown => {
                    self.unexplored.extend(its.clone());
                    restless.extend(its);
                }
            }
        }
        if !restless.is_empty() {
            // What does not settle is reported as it was when the search ended.
            let names: BTreeSet<u32> = restless.iter().map(|number| circuit_of(*number)).collect();
            let settled = self.states.snapshot();
            self.states.restore(&circle.with(&settled, |number| !names.contains(&circuit_of(number))));
            self.draws.forget();
            if self.stay().is_err() {
                return unsettled;
            }
        }
        self.contested.sort_unstable();
        self.unexplored.sort_unstable();
        self.raced = raced;
        restless
    }

    /// Searches one circuit, whose relays and converters these are; leaves it in the one setting at rest, if there is one.
    fn come_to_rest(&mut self, within: &[u32]) -> Outcome {
        let here = |on: &[u32]| on.iter().copied().filter(|number| within.contains(number)).collect::<Setting>();
        let circle = Rc::new(self.state());
        let mut found = Found::default();
        found.waiting.extend([(here(&self.first), Rc::clone(&circle)), (here(&self.on()), Rc::clone(&circle))]);
        self.explore(within, &mut found);
        if found.rest.is_empty() {
            for setting in found.sought.difference(&found.alone).cloned().collect::<Vec<_>>() {
                self.seek(within, &mut found, &setting, Start::Down, &circle);
            }
            self.explore(within, &mut found);
        }
        if found.rest.len() > 1 {
            let count = |number: &u32| found.rest.keys().filter(|setting| setting.binary_search(number).is_ok()).count();
            let differs = |number: &u32| (1..found.rest.len()).contains(&count(number));
            return Outcome::Several(within.iter().copied().filter(differs).collect());
        }
        let has_all = found.waiting.is_empty() && found.sought.iter().all(|setting| found.known.contains_key(setting));
        // Some states of a ring of converters are between the highest and the lowest voltages, and not all of them are found.
        let is_complete = has_all && !self.has_ring(within);
        let Some(state) = found.rest.into_values().next() else {
            return if is_complete { Outcome::None } else { Outcome::Unknown };
        };
        self.states.restore(&state.0);
        self.draws.forget();
        match self.stay() {
            Ok(switching) if !switching.iter().any(|number| within.contains(number)) => Outcome::Rest,
            _ => Outcome::Unknown,
        }
    }

    /// All settings at rest that can be reached from those that wait.
    fn explore(&mut self, within: &[u32], found: &mut Found) {
        let per_branch = |work: usize| work / self.circuit.branches.len().max(1);
        let most = per_branch(WORK).clamp(FEWEST, TRIES);
        let last = self.rounds + per_branch(SOLUTIONS).max(FEWEST_SOLUTIONS) as u32;
        while found.tried < most
            && self.rounds < last
            && let Some((setting, before)) = found.waiting.pop_front()
        {
            let is_new = found.sought.insert(setting.clone());
            if found.alone.contains(&setting) || found.in_vain.get(&setting).is_some_and(|times| *times >= IN_VAIN) {
                continue;
            }
            let is_highest = self.seek(within, found, &setting, Start::There, &before);
            if is_new && !is_highest && (self.has_constant_power() || !found.known.contains_key(&setting)) {
                self.seek(within, found, &setting, Start::Unloaded, &before);
            }
            if is_new && self.has_one_state(within, found, &setting, &before) {
                found.alone.insert(setting);
            }
        }
    }

    /// Whether the one state that is known of a setting is its only one.
    fn has_one_state(&mut self, within: &[u32], found: &mut Found, setting: &Setting, before: &State) -> bool {
        let Some([highest]) = found.known.get(setting).map(Vec::as_slice) else { return false };
        if !self.has_constant_power() {
            return true;
        }
        found.tried += 1;
        self.settle_starved(within, setting, before) && is_same(highest, &self.seen(within))
    }

    /// Searches for a state of this setting, and lets those wait that it leads to. Whether it is known that none is at higher voltages.
    fn seek(&mut self, within: &[u32], found: &mut Found, setting: &Setting, start: Start, before: &State) -> bool {
        found.tried += 1;
        // Counted until it finds a new state.
        *found.in_vain.entry(setting.clone()).or_default() += 1;
        let Ok(Settled { mut switching, is_highest }) = self.settle_in(within, setting, start, before) else { return false };
        switching.retain(|number| within.contains(number));
        let volts = self.seen(within);
        let states = found.known.entry(setting.clone()).or_default();
        if states.iter().any(|known| is_same(known, &volts)) {
            return is_highest;
        }
        states.push(volts);
        found.in_vain.remove(setting);
        self.note_turns(&switching);
        let state = Rc::new(self.state());
        if switching.is_empty() {
            found.rest.entry(setting.clone()).or_insert(state);
        } else {
            found.waiting.extend(choices(&switching).map(|turned| (turned_over(setting, &turned), Rc::clone(&state))));
        }
        is_highest
    }

    fn state(&self) -> State {
        (self.states.snapshot(), self.solution.volts.clone())
    }

    /// Whether the output of some of these converters can reach its own input, past others or not.
    fn has_ring(&self, within: &[u32]) -> bool {
        let mut joined = UnionFind::<u32>::new(self.circuit.nodes as usize);
        for (branch, number) in self.circuit.branches.iter().zip(0..) {
            let kind = self.states.kind(number);
            if matches!(kind, BranchKind::Resistance(_) | BranchKind::RelayContact { .. } | BranchKind::Diode { .. }) {
                let _ = joined.try_union(branch.from, branch.to);
            }
        }
        let place = |node: u32| joined.try_find(node).unwrap_or(node);
        let sides = within.iter().filter_map(|input| match self.states.kind(*input) {
            BranchKind::ConverterInput { output, .. } => Some((place(self.ends.at(*input).0), place(self.ends.at(output).1))),
            _ => None,
        });
        // What feeds no other is in no ring, nor is what feeds only such ones.
        let mut left: Vec<(u32, u32)> = sides.collect();
        loop {
            let count = left.len();
            let inputs: BTreeSet<u32> = left.iter().map(|sides| sides.0).collect();
            left.retain(|sides| inputs.contains(&sides.1));
            if left.len() == count {
                return count > 0;
            }
        }
    }

    /// What distinguishes two states of a setting: the voltages at what could have another.
    fn seen(&self, within: &[u32]) -> Vec<f64> {
        let numbers = within.iter().chain(self.states.loads()).chain(self.states.one_way());
        let across = numbers.map(|number| {
            let (from, to) = self.ends.at(*number);
            self.solution.across(from, to)
        });
        across.collect()
    }

    /// Per branch, the circuit that it belongs to: all that may conduct in one state or another, over converters too.
    fn circuits(&self) -> Table<u32> {
        let mut joined = UnionFind::<u32>::new(self.circuit.nodes as usize);
        for (branch, number) in self.circuit.branches.iter().zip(0..) {
            match self.states.kind(number) {
                BranchKind::Open => continue,
                BranchKind::ConverterInput { output, .. } => {
                    let _ = joined.try_union(branch.from, self.ends.at(output).0);
                }
                BranchKind::RelayContact { coil, .. } => {
                    let _ = joined.try_union(branch.from, self.ends.at(coil).0);
                }
                _ => {}
            }
            let _ = joined.try_union(branch.from, branch.to);
        }
        let labels = joined.into_labeling();
        let of = |branch: &Branch| labels.get(branch.from as usize).copied().unwrap_or_default();
        Table::of(self.circuit.branches.iter().map(of).collect())
    }
}

fn is_same(known: &[f64], volts: &[f64]) -> bool {
    let most = volts.iter().fold(1.0_f64, |most, volt| most.max(volt.abs()));
    known.iter().zip(volts).all(|(known, volt)| (known - volt).abs() <= SAME * most)
}

/// Which of these may move at once: any of them, or, of many, each alone, any two and all.
fn choices(switching: &[u32]) -> impl Iterator<Item = Vec<u32>> {
    let mut choices: Vec<Vec<u32>> = switching.iter().map(|number| vec![*number]).collect();
    if switching.len() <= CHOICES {
        for bits in 1..1_u32 << switching.len() {
            if bits.count_ones() > 1 {
                choices.push(
                    switching.iter().enumerate().filter(|(at, _)| bits >> at & 1 == 1).map(|(_, number)| *number).collect(),
                );
            }
        }
    } else {
        for (at, first) in switching.iter().enumerate() {
            choices.extend(switching.iter().skip(at + 1).map(|second| vec![*first, *second]));
        }
        choices.push(switching.to_vec());
    }
    choices.into_iter()
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
