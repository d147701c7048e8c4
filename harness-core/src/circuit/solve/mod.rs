//! Finds the operating state of a circuit: nodal analysis of one state, repeated until every branch agrees with it.
//!
//! Owns the search for the state: diodes, limits, loads that starve, relays, converters. Leaves the linear network to `reduce` (trees)
//! and `core` (loops).
//!
//! Idea: loads are given currents, so that most of a harness is a tree, which is solved by adding up. All behaviours that contradict a
//! solution are flipped at once; if that goes round in circles a varying half of them is, which breaks the circle. Relays and
//! converters move only when everything else agrees. Cost: linear in nodes and branches for each solution, plus the factorisation of the loops whenever the conducting branches change.

mod check;
mod convex;
mod core;
mod draw;
mod factor;
mod islands;
mod judge;
mod reduce;
mod rescue;
mod states;
mod table;

#[cfg(test)]
mod reference;
#[cfg(test)]
mod tests;

use self::{
    draw::Draws,
    islands::Islands,
    states::{Behaviour, States},
};
pub(super) use self::{
    reduce::{Network, Plan},
    table::Table,
};
use super::{BranchKind, Circuit, Operating, Refusal, Swing};
use crate::quantity::{Ampere, Ohm, Volt};
use rustc_hash::{FxHashMap, FxHasher};
use std::hash::{Hash, Hasher};

/// Flips of behaviours after which the search ends.
const FLIPS: u32 = 100;
/// Flips at the end of a search in vain whose branches are named.
const LAST_FLIPS: u32 = 20;
/// Solutions after which the search ends.
const SOLUTIONS: u32 = 400;
/// Flips of all contradictions at once that may bring no progress before only some are flipped.
const PATIENCE: u32 = 6;
/// Solutions that a search that went round in circles gives the currents of loads to settle before it flips again.
const REST: u32 = 40;

/// Computes the operating state of a circuit.
///
/// Units are those of the types. Never fails: a branch that can not be computed with is left out and named in
/// [`Operating::refused`]; one whose state does not settle is named in [`Operating::unsettled`].
/// Nodes of an island without a source are at zero volt, and nothing flows there.
///
/// A load that only other loads join to the rest carries what these let through. The result is the same for the same circuit.
///
/// # Cost
/// Linear in nodes and branches, times the number of rounds, plus the factorisation of the loops.
#[must_use]
pub fn solve(circuit: &Circuit) -> Operating {
    solve_from(circuit, &[])
}

/// As [`solve`], but the coils whose branches are `energised` hold their contacts moved at the start.
///
/// A coil between the voltage at which it holds and the one at which it pulls in stays as it was, so that a circuit may have
/// several states of rest; this finds the one that is reached from those coils.
#[must_use]
pub fn solve_from(circuit: &Circuit, energised: &[u32]) -> Operating {
    let mut solver = Solver::new(circuit, energised);
    solver.run();
    solver.operating()
}

/// A search that can go on from where it ended, for resistances that change with what flows.
pub struct Solver<'a> {
    search: Search<'a>,
    refused: Vec<Refusal>,
    unsettled: Vec<u32>,
    /// Solutions of the searches before the last.
    before: u32,
}

impl<'a> Solver<'a> {
    /// A search over `circuit` that has not begun, in which the coils whose branches are `energised` hold their contacts moved.
    #[must_use]
    pub fn new(circuit: &'a Circuit, energised: &[u32]) -> Self {
        let refused = check::refusals(circuit);
        let mut states = States::new(circuit, &refused);
        states.energise(energised);
        Self { search: Search::new(circuit, states), refused, unsettled: Vec::new(), before: 0 }
    }

    /// Searches from the state in which the last search ended; see [`solve`].
    pub fn run(&mut self) {
        // Each search has the whole of the patience, and what the old resistances showed at the terminals of loads is void.
        self.before += std::mem::take(&mut self.search.rounds);
        self.search.draws.forget();
        self.unsettled = self.search.run();
    }

    /// Gives a resistance another value; any other branch stays as it is.
    pub fn retune(&mut self, branch: u32, ohms: Ohm) {
        if matches!(self.search.states.kind(branch), BranchKind::Resistance(_)) {
            self.search.states.hold(branch, ohms.get());
        }
    }

    /// The state in which the last search ended.
    #[must_use]
    pub fn operating(&self) -> Operating {
        let mut operating = self.search.report();
        operating.refused.clone_from(&self.refused);
        operating.unsettled.clone_from(&self.unsettled);
        operating.swings = self.search.swings(&self.unsettled);
        operating.rounds += self.before;
        operating
    }
}

/// Voltages and currents for one set of behaviours.
#[derive(Debug, Default)]
struct Solution {
    islands: Islands,
    volts: Table<f64>,
    amps: Table<f64>,
    /// Per island, the largest branch current.
    most: Table<f64>,
}

impl Solution {
    fn across(&self, from: u32, to: u32) -> f64 {
        self.volts.at(from) - self.volts.at(to)
    }

    /// Current that counts as none at `node`.
    fn amp_slack(&self, node: u32) -> f64 {
        1e-12 * self.most.at(self.islands.of.at(node))
    }

    /// Voltage that counts as none between two nodes.
    fn volt_slack(&self, from: u32, to: u32) -> f64 {
        1e-12 * (1.0 + self.volts.at(from).abs() + self.volts.at(to).abs())
    }
}

struct Search<'a> {
    circuit: &'a Circuit,
    ends: Table<(u32, u32)>,
    states: States<'a>,
    draws: Draws,
    plan: Option<Plan>,
    solution: Solution,
    open_loops: f64,
    rounds: u32,
    /// Per coil and converter input that changed over: the voltage that made it do so while off and while on.
    turned: FxHashMap<u32, (Option<f64>, Option<f64>)>,
}

impl<'a> Search<'a> {
    fn new(circuit: &'a Circuit, states: States<'a>) -> Self {
        let count = circuit.branches.len();
        Self {
            circuit,
            ends: Table::of(circuit.branches.iter().map(|branch| (branch.from, branch.to)).collect()),
            states,
            draws: Draws::new(),
            plan: None,
            solution: Solution { amps: Table::new(count), ..Solution::default() },
            open_loops: 0.0,
            rounds: 0,
            turned: FxHashMap::default(),
        }
    }

    /// Searches; gives the branches that did not settle.
    fn run(&mut self) -> Vec<u32> {
        let mut rescued = false;
        let mut history = History::new(self.states.behaviours().len());
        loop {
            match self.rest(&mut history) {
                Ok(()) => {}
                Err(unsettled) if rescued => return unsettled,
                Err(_) => {
                    rescued = true;
                    self.states.rescued = true;
                    rescue::rescue(self.circuit, &mut self.states);
                    self.draws.forget();
                    self.states.changed = true;
                    self.rounds = 0;
                    history = History::new(self.states.behaviours().len());
                    continue;
                }
            }
            let switching = judge::switching(self.circuit, &self.states, &self.solution);
            if switching.is_empty() {
                return Vec::new();
            }
            for &number in &switching {
                let (from, to) = self.ends.at(number);
                let same = self.solution.islands.same(from, to);
                let volts = Some(if same { self.solution.across(from, to).abs() } else { 0.0 });
                let is_on = self.is_on(number);
                let (off, on) = self.turned.entry(number).or_default();
                *(if is_on { on } else { off }) = volts;
            }
            if history.switches >= FLIPS || history.repeats(self.states.behaviours(), switching.iter().copied()) {
                return history.unsettled(&switching);
            }
            history.turn(&switching);
            history.switches += 1;
            for number in switching {
                self.switch(number);
            }
            self.states.switch_contacts();
            rescued = false;
        }
    }

    /// Searches for the state of rest with relays and converters as they are; else gives the branches that did not settle.
    fn rest(&mut self, history: &mut History) -> Result<(), Vec<u32>> {
        let (mut fewest, mut patience, mut rest, mut joined) = (usize::MAX, PATIENCE, 0, 0);
        loop {
            self.solve_once();
            let spent = self.rounds >= SOLUTIONS + joined || history.flips >= FLIPS + joined;
            let mut wanted = judge::electrical(self.circuit, &self.states, &self.solution);
            if self.states.rescued
                && let Some(&first) = wanted.iter().find(|(number, _)| self.is_between(*number))
            {
                // What is between two islands carries nothing; two at once would close a loop that was found open.
                wanted = vec![first];
                joined += 1;
            }
            if wanted.is_empty() {
                let moving = self.draws.refresh(self.circuit, &mut self.states, &self.solution);
                if moving.is_empty() {
                    return Ok(());
                }
                if self.rounds >= SOLUTIONS {
                    return Err(history.unsettled(&moving));
                }
                continue;
            }
            if wanted.len() < fewest {
                (fewest, patience) = (wanted.len(), PATIENCE);
            } else {
                patience = patience.saturating_sub(1);
            }
            if history.repeats(self.states.behaviours(), wanted.iter().map(|entry| entry.0)) {
                patience = 0;
            }
            if patience == 0 {
                // Loads that hold each other's currents show voltages on the way that they do not keep.
                if rest < REST && !spent && !self.draws.refresh(self.circuit, &mut self.states, &self.solution).is_empty() {
                    rest += 1;
                    continue;
                }
                history.thin(&mut wanted);
            }
            rest = 0;
            let numbers: Vec<u32> = wanted.iter().map(|entry| entry.0).collect();
            if spent {
                return Err(history.unsettled(&numbers));
            }
            history.turn(&numbers);
            for (number, behaviour) in wanted {
                self.states.enter(number, behaviour);
            }
            self.draws.refresh(self.circuit, &mut self.states, &self.solution);
        }
    }

    /// Whether the ends of a branch are in different islands.
    fn is_between(&self, number: u32) -> bool {
        let (from, to) = self.ends.at(number);
        !self.solution.islands.same(from, to)
    }

    /// Whether a coil holds its contacts moved, or a converter runs.
    fn is_on(&self, number: u32) -> bool {
        self.states.energised.at(number) || self.states.behaviour(number) == Behaviour::Draws
    }

    /// What makes those of these branches change over that did so both ways.
    fn swings(&self, numbers: &[u32]) -> Vec<Swing> {
        let swings = numbers.iter().filter_map(|branch| {
            let (off, on) = *self.turned.get(branch)?;
            Some(Swing { branch: *branch, off: Volt::new(off?), on: Volt::new(on?) })
        });
        swings.collect()
    }

    /// Turns a coil or a converter over.
    fn switch(&mut self, number: u32) {
        match self.states.kind(number) {
            BranchKind::Coil { .. } => self.states.energised.set(number, !self.states.energised.at(number)),
            BranchKind::ConverterInput { output, .. } => {
                let on = self.states.behaviour(number) != Behaviour::Draws;
                self.states.held_off.set(output, !on);
                self.states.enter(number, if on { Behaviour::Draws } else { Behaviour::Off });
                if matches!(self.states.kind(output), BranchKind::Source { .. }) {
                    self.states.enter(output, if on { Behaviour::Conducts } else { Behaviour::Off });
                }
            }
            _ => {}
        }
    }

    /// Solves the network for the behaviours and given currents as they are.
    fn solve_once(&mut self) {
        self.rounds += 1;
        let circuit = self.circuit;
        if self.states.changed {
            self.solution.islands = Islands::find(circuit, &mut self.states);
            self.draws.forget();
        }
        if self.states.changed || self.states.retuned {
            let network = Network { ends: &self.ends, ohms: &self.states.ohms, emfs: &self.states.emfs };
            let islands = &self.solution.islands;
            self.plan = Some(Plan::new(circuit.nodes, &islands.conducting, &islands.root, &network));
        }
        (self.states.changed, self.states.retuned) = (false, false);
        let solution = &mut self.solution;
        solution.volts = Table::new(circuit.nodes as usize);
        solution.amps.fill(0.0);
        let mut into = Table::<f64>::new(circuit.nodes as usize);
        for (branch, number) in circuit.branches.iter().zip(0..) {
            if self.states.is_given(number)
                && solution.islands.live_at(branch.from)
                && solution.islands.same(branch.from, branch.to)
            {
                let given = self.states.given.at(number);
                into.add(branch.from, -given);
                into.add(branch.to, given);
                solution.amps.set(number, given);
            }
        }
        let network = Network { ends: &self.ends, ohms: &self.states.ohms, emfs: &self.states.emfs };
        if let Some(plan) = &mut self.plan {
            self.open_loops = plan.solve(&network, &mut into, &mut solution.volts, &mut solution.amps);
        }
        solution.most = Table::new(solution.islands.live.list().len());
        for (branch, &amps) in circuit.branches.iter().zip(solution.amps.list()) {
            solution.most.raise(solution.islands.of.at(branch.from), amps.abs());
        }
    }

    fn report(&self) -> Operating {
        let Solution { islands, volts, amps, most } = &self.solution;
        let numbers = 0..self.circuit.branches.len() as u32;
        let mut into = Table::<f64>::new(self.circuit.nodes as usize);
        for (branch, &flow) in self.circuit.branches.iter().zip(amps.list()) {
            into.add(branch.from, -flow);
            into.add(branch.to, flow);
        }
        let mut residual = self.open_loops;
        for (flow, node) in into.list().iter().zip(0..) {
            let most = most.at(islands.of.at(node));
            if *flow != 0.0 && most > 0.0 {
                residual = residual.max(flow.abs() / most);
            }
        }
        let no_return = self.states.loads().iter().chain(self.states.inputs()).copied().filter(|load| islands.bridging.at(*load));
        let mut no_return: Vec<u32> = no_return.collect();
        no_return.sort_unstable();
        let is_input = |number: u32| matches!(self.states.kind(number), BranchKind::ConverterInput { .. });
        Operating {
            volts: volts.list().iter().map(|volts| Volt::new(*volts)).collect(),
            amps: amps.list().iter().map(|amps| Ampere::new(*amps)).collect(),
            live: (0..self.circuit.nodes).map(|node| islands.live_at(node)).collect(),
            energised: self.states.energised.list().to_vec(),
            limiting: numbers.clone().filter(|number| self.states.behaviour(*number) == Behaviour::Limits).collect(),
            converting: numbers.map(|number| is_input(number) && self.states.behaviour(number) == Behaviour::Draws).collect(),
            island: islands.of.list().to_vec(),
            no_return,
            unsettled: Vec::new(),
            swings: Vec::new(),
            refused: Vec::new(),
            residual,
            rounds: self.rounds,
        }
    }
}

/// Which behaviours were seen, to recognise a state that never settles.
struct History {
    seen: Vec<(u64, u32)>,
    /// Per branch: the flip, counted from one, at which it last turned.
    last: Table<u32>,
    flips: u32,
    /// Times that relays or converters moved.
    switches: u32,
    /// The flip from which on everything has come round again.
    since: u32,
    dice: u64,
}

impl History {
    fn new(count: usize) -> Self {
        Self { seen: Vec::new(), last: Table::new(count), flips: 0, switches: 0, since: u32::MAX, dice: 1 }
    }

    /// Notes that `numbers` want to turn over in this state; `true` if the same was seen twice before.
    fn repeats(&mut self, behaviours: &[Behaviour], numbers: impl Iterator<Item = u32>) -> bool {
        let mut hasher = FxHasher::default();
        for behaviour in behaviours {
            (*behaviour as u8).hash(&mut hasher);
        }
        for number in numbers {
            number.hash(&mut hasher);
        }
        let print = hasher.finish();
        let before = self.seen.iter().filter(|entry| entry.0 == print);
        let (count, first) = before.fold((0, u32::MAX), |(count, first), entry| (count + 1, first.min(entry.1)));
        self.since = first;
        self.seen.push((print, self.flips + 1));
        count >= 2
    }

    /// Notes that `numbers` are turned over.
    fn turn(&mut self, numbers: &[u32]) {
        self.flips += 1;
        for &number in numbers {
            self.last.set(number, self.flips);
        }
    }

    /// Keeps about half of what wants to turn over, and at least one, differently each time.
    fn thin(&mut self, wanted: &mut Vec<(u32, Behaviour)>) {
        let first = wanted.first().copied();
        wanted.retain(|_| {
            // A congruential generator with Knuth's multiplier; its upper bits are the even ones. The same circuit gives the same run.
            self.dice = self.dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            self.dice >> 63 == 1
        });
        if wanted.is_empty() {
            wanted.extend(first);
        }
    }

    /// The branches that kept turning, and those that want to turn now.
    fn unsettled(&self, wanted: &[u32]) -> Vec<u32> {
        let since = if self.since < u32::MAX { self.since } else { self.flips.saturating_sub(LAST_FLIPS) + 1 };
        let mut unsettled = wanted.to_vec();
        unsettled.extend((0..).zip(self.last.list()).filter(|(_, last)| **last >= since).map(|(number, _)| number));
        unsettled.sort_unstable();
        unsettled.dedup();
        unsettled
    }
}
