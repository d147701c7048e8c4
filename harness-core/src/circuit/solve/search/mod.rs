//! The search for the state of rest: behaviours that contradict a solution turn over until none does.
//!
//! Owns the order in which they turn. What contradicts is for `judge`, what a network then carries for `reduce`.

mod orders;
mod report;
mod setting;
mod starving;
mod updates;

pub(in crate::circuit) use self::updates::Rest;
use self::updates::Updates;
use super::{
    draw::Draws,
    history::History,
    islands::Islands,
    judge,
    reduce::{Network, Plan},
    rescue::{self, Begin},
    solution::Solution,
    states::{Behaviour, States},
    table::Table,
};
use crate::circuit::{BranchKind, Circuit};
use rustc_hash::FxHashMap;

/// Flips of behaviours after which the search ends.
const FLIPS: u32 = 100;
/// Solutions after which the search ends.
const SOLUTIONS: u32 = 400;
/// The same where the search began near the state, or is one of many.
const NEAR: u32 = 60;
/// Flips of all contradictions at once that may bring no progress before only some are flipped.
const PATIENCE: u32 = 6;
/// Share of all voltages of sources beyond which no node can be.
const PLAUSIBLE: f64 = 1.0 + 1e-9;
/// Share of the current of a shorted converter that counts as none, and that with which it is tried whether its input keeps up.
const IDLE: f64 = 1e-9;
const NUDGE: f64 = 1e-6;
/// Solutions that a search that went round in circles gives the currents of loads to settle before it flips again.
const REST: u32 = 40;

/// A search, with the state that it has come to.
pub(super) struct Search<'a> {
    circuit: &'a Circuit,
    ends: Table<(u32, u32)>,
    pub(super) states: States<'a>,
    pub(super) draws: Draws,
    plan: Option<Plan>,
    solution: Solution,
    open_loops: f64,
    pub(super) rounds: u32,
    /// Per coil and converter input that changed over: the voltage that made it do so while off and while on.
    turned: FxHashMap<u32, (Option<f64>, Option<f64>)>,
    /// Coils and converter inputs that go round in circles where all move at once, though another order leads to rest.
    pub(super) raced: Vec<u32>,
    /// Coils and converter inputs that are on in one state of rest of their circuit and off in another.
    pub(super) contested: Vec<u32>,
    /// Branches that did not settle where not all that can be reached was tried.
    pub(super) unexplored: Vec<u32>,
    /// Coils that were energised when the search began.
    first: Vec<u32>,
    /// Whether circles end the search, and no other order is tried.
    pub(super) stops_at_circles: bool,
    /// Whether sources and diodes agree with the voltages before any load or converter turns over.
    givers_first: bool,
    /// What differs from the state of rest in which the search began, if it began in one.
    updates: Option<Updates<'a>>,
}

impl<'a> Search<'a> {
    /// A search that begins in these states.
    pub(super) fn new(circuit: &'a Circuit, states: States<'a>) -> Self {
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
            raced: Vec::new(),
            contested: Vec::new(),
            unexplored: Vec::new(),
            first: Vec::new(),
            stops_at_circles: false,
            givers_first: false,
            updates: None,
        }
    }

    /// Searches; gives the branches that did not settle.
    pub(super) fn run(&mut self) -> Vec<u32> {
        self.first = self.on();
        let mut history = History::new(self.states.behaviours().len());
        loop {
            let switching = match self.settle() {
                Ok(switching) if switching.is_empty() => return Vec::new(),
                Ok(switching) => switching,
                Err(unsettled) => return self.at_circles(unsettled),
            };
            self.note_turns(&switching);
            if history.switches >= FLIPS || history.repeats(self.states.behaviours(), switching.iter().copied()) {
                let unsettled = history.unsettled(&switching);
                return self.at_circles(unsettled);
            }
            history.turn(&switching);
            history.switches += 1;
            self.turn_over(&switching);
        }
    }

    /// What a search that goes round in circles gives.
    fn at_circles(&mut self, unsettled: Vec<u32>) -> Vec<u32> {
        if self.stops_at_circles { unsettled } else { self.in_turn(unsettled) }
    }

    /// Finds the state of rest with relays and converters as they are, and gives those that contradict it; else the branches that did
    /// not settle.
    pub(super) fn settle(&mut self) -> Result<Vec<u32>, Vec<u32>> {
        // A converter that starves may only do so because of what the search went through: the state at the higher voltage comes first.
        if self.rest(SOLUTIONS).is_err() || !self.feeding_themselves().is_empty() || self.may_starve_for_nothing() {
            return self.settle_with(Begin::Least);
        }
        let pulled_down = self.pulled_down();
        if pulled_down > 0 {
            let low = self.states.snapshot();
            match self.settle_with(Begin::Least) {
                // One that nothing can raise does not keep the others down.
                Ok(switching) if self.pulled_down() < pulled_down => return Ok(switching),
                _ => {}
            }
            self.states.restore(&low);
            self.draws.forget();
            self.states.changed = true;
            self.rest(SOLUTIONS)?;
        }
        Ok(judge::switching(self.circuit, &self.states, &self.solution))
    }

    /// Searches from the state as it is for none but it, and gives the relays and converters that contradict it.
    pub(super) fn stay(&mut self) -> Result<Vec<u32>, Vec<u32>> {
        self.states.changed = true;
        self.rest(SOLUTIONS)?;
        Ok(judge::switching(self.circuit, &self.states, &self.solution))
    }

    /// As [`settle`](Self::settle), but begun with these currents of loads and converters.
    pub(super) fn settle_with(&mut self, begin: Begin<'_>) -> Result<Vec<u32>, Vec<u32>> {
        self.rescue(begin)?;
        if !self.feeding_themselves().is_empty() {
            self.rescue(Begin::Pushed)?;
            let feeding = self.feeding_themselves();
            if !feeding.is_empty() {
                return Err(feeding);
            }
        }
        Ok(judge::switching(self.circuit, &self.states, &self.solution))
    }

    /// Searches from where the currents of loads and converters agree with the voltages, begun with these.
    fn rescue(&mut self, begin: Begin<'_>) -> Result<(), Vec<u32>> {
        self.states.rescued = true;
        let (is_found, steps) = rescue::rescue(self.circuit, &mut self.states, begin);
        self.rounds += steps;
        self.draws.forget();
        self.states.changed = true;
        self.rest(if is_found { SOLUTIONS } else { NEAR })
    }

    /// Converters that give nothing at the voltage of their output, and would give more than that is worth if they took anything: only
    /// their own output keeps their input up, and the least push ends it.
    fn feeding_themselves(&mut self) -> Vec<u32> {
        let mut found = Vec::new();
        for input in self.states.inputs().to_vec() {
            let BranchKind::ConverterInput { output, efficiency, .. } = self.states.kind(input) else { continue };
            let BranchKind::Source { resistance, .. } = self.states.kind(output) else { continue };
            if self.states.behaviour(input) != Behaviour::Draws || self.states.behaviour(output) != Behaviour::Conducts {
                continue;
            }
            let ((from, to), (minus, plus)) = (self.ends.at(input), self.ends.at(output));
            let given = self.states.given.at(input);
            let (volts, rise) = (self.solution.across(from, to), self.solution.across(plus, minus));
            let none = self.solution.amp_slack(from).max(IDLE * rise / resistance.get());
            if given.abs() > none || self.solution.amps.at(output).abs() > none || volts == 0.0 {
                continue;
            }
            let nudge = NUDGE * rise / resistance.get();
            self.states.given.set(input, nudge.copysign(volts));
            self.solve_once();
            let fall = rise - self.solution.across(plus, minus);
            self.states.given.set(input, given);
            self.solve_once();
            let more = rise * fall / resistance.get() / efficiency.get() / volts.abs();
            if more > nudge * (1.0 + 1e-6) {
                found.push(input);
            }
        }
        found
    }

    /// Notes the voltages that make these relays and converters turn over.
    pub(super) fn note_turns(&mut self, switching: &[u32]) {
        for &number in switching {
            let (from, to) = self.ends.at(number);
            let same = self.solution.islands.same(from, to);
            let volts = Some(if same { self.solution.across(from, to).abs() } else { 0.0 });
            let is_on = self.is_on(number);
            let (off, on) = self.turned.entry(number).or_default();
            *(if is_on { on } else { off }) = volts;
        }
    }

    /// Turns these relays and converters over, all at once.
    pub(super) fn turn_over(&mut self, numbers: &[u32]) {
        for &number in numbers {
            self.switch(number);
        }
        self.states.switch_contacts();
    }

    /// Coils that hold their contacts moved and converters that run, ascending.
    pub(super) fn on(&self) -> Vec<u32> {
        let both = self.states.coils().iter().chain(self.states.inputs()).copied();
        let mut on: Vec<u32> = both.filter(|number| self.is_on(*number)).collect();
        on.sort_unstable();
        on
    }

    /// Searches for the state of rest with relays and converters as they are; else gives the branches that did not settle.
    pub(super) fn rest(&mut self, solutions: u32) -> Result<(), Vec<u32>> {
        let mut history = History::new(self.states.behaviours().len());
        let most = self.rounds + solutions;
        let (mut fewest, mut patience, mut rest, mut joined) = (usize::MAX, PATIENCE, 0, 0);
        loop {
            self.solve_once();
            let spent = self.rounds >= most + joined || history.flips >= FLIPS + joined;
            let mut wanted = judge::electrical(self.circuit, &self.states, &self.solution);
            if self.states.rescued
                && let Some(first) = self.first_to_join(&wanted)
            {
                wanted = vec![first];
                joined += 1;
            }
            let gives = |(number, _): &(u32, Behaviour)| self.states.one_way().binary_search(number).is_ok();
            if self.givers_first && wanted.iter().any(gives) {
                wanted.retain(gives);
            }
            if wanted.is_empty() {
                let moving = self.draws.refresh(self.circuit, &mut self.states, &self.solution);
                if moving.is_empty() {
                    return Ok(());
                }
                if self.rounds >= most {
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
                if rest < REST
                    && !spent
                    && self.is_plausible()
                    && !self.draws.refresh(self.circuit, &mut self.states, &self.solution).is_empty()
                {
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

    /// Whether no voltage is above all those of the sources together; on the way some are, and currents drawn from them are void.
    fn is_plausible(&self) -> bool {
        let emfs = self.circuit.branches.iter().map(|branch| match branch.kind {
            BranchKind::Source { emf, .. } => emf.get().abs(),
            _ => 0.0,
        });
        let most = emfs.sum::<f64>() * PLAUSIBLE;
        self.solution.volts.list().iter().all(|volts| volts.abs() <= most)
    }

    /// Which of these that are between two islands joins them first: that which brings the highest voltage. What is between two
    /// islands carries nothing; two at once would close a loop that was found open, and the lower one would be driven backwards.
    fn first_to_join(&self, wanted: &[(u32, Behaviour)]) -> Option<(u32, Behaviour)> {
        let brings = |number: u32| {
            let add = match self.states.kind(number) {
                BranchKind::Diode { drop, .. } => -drop.get(),
                BranchKind::Source { emf, .. } => emf.get(),
                _ => 0.0,
            };
            self.solution.volts.at(self.ends.at(number).0) + add
        };
        let is_between = |number: u32| {
            let (from, to) = self.ends.at(number);
            !self.solution.islands.same(from, to)
        };
        let between = wanted.iter().copied().filter(|(number, _)| is_between(*number));
        between.reduce(|first, next| if brings(next.0) > brings(first.0) { next } else { first })
    }

    /// Whether a coil holds its contacts moved, or a converter runs.
    fn is_on(&self, number: u32) -> bool {
        self.states.energised.at(number) || self.states.converts(number)
    }

    /// Turns a coil or a converter over.
    fn switch(&mut self, number: u32) {
        match self.states.kind(number) {
            BranchKind::Coil { .. } => self.states.energised.set(number, !self.states.energised.at(number)),
            BranchKind::ConverterInput { output, .. } => {
                let on = !self.states.converts(number);
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
        if self.solve_by_updates() {
            return;
        }
        let circuit = self.circuit;
        if self.states.changed {
            self.solution.islands = Islands::find(circuit, &mut self.states);
            self.draws.forget();
        }
        if self.states.changed || self.states.retuned {
            let network = Network { ends: &self.ends, ohms: &self.states.ohms, emfs: &self.states.emfs };
            let islands = &self.solution.islands;
            match &mut self.plan {
                Some(plan) if !self.states.changed => plan.retune(&islands.root, &network),
                plan => {
                    *plan = Some(Plan::new(circuit.nodes, &islands.conducting(circuit, &self.states), &islands.root, &network))
                }
            }
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
}
