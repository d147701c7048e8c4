//! Finds the operating state of a circuit: nodal analysis of one state, repeated until every branch agrees with it.
//!
//! Owns the search for the state: diodes, limits, loads that starve, relays, converters. Leaves the linear network to `reduce` (trees)
//! and `core` (loops).
//!
//! Idea: loads are given currents, so that most of a harness is a tree, which is solved by adding up. All behaviours that contradict a
//! solution are flipped at once; if that goes round in circles a varying half of them is, which breaks the circle. Relays and
//! converters move only when everything else agrees, all at once; where that goes round in circles `orders` tries one after the other. Cost: linear in nodes and branches for each solution, plus the factorisation of the loops whenever the conducting branches change.

mod check;
mod convex;
mod core;
mod draw;
mod factor;
mod history;
mod islands;
mod judge;
mod mesh;
mod reduce;
mod rescue;
mod rising;
mod search;
mod solution;
mod states;
mod table;

#[cfg(test)]
pub(super) mod reference;
#[cfg(test)]
mod tests;

pub(super) use self::{
    reduce::{Network, Plan},
    search::Rest,
    table::Table,
};
use self::{search::Search, states::States};
use super::{BranchKind, Circuit, Operating, Refusal};
use crate::quantity::{Ampere, Ohm};

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

    /// Begins with what flowed where a circuit of the same branches came to rest, of which a few have other values here: `amps` of
    /// each branch, and whether the input of a converter `runs`. The way to rest is then a few solutions shorter.
    pub fn follow(&mut self, amps: &[Ampere], runs: impl Fn(u32) -> bool) {
        self.search.states.follow(amps, runs);
    }

    /// Does not look for a state of rest in other orders where relays and converters that all move at once go round in circles.
    pub fn stop_at_circles(&mut self) {
        self.search.stops_at_circles = true;
    }

    /// Searches from the state in which the last search ended; see [`solve`].
    pub fn run(&mut self) {
        // Each search has the whole of the patience, and what the old resistances showed at the terminals of loads is void.
        self.before += std::mem::take(&mut self.search.rounds);
        self.search.draws.forget();
        self.unsettled = self.search.run();
        // A diode that is left with nothing shows the voltage behind it at its other end.
        if self.unsettled.is_empty() && self.search.block_idle_diodes() {
            self.unsettled = self.search.run();
        }
        self.search.flow_everywhere();
    }

    /// The state in which the last search ended, for others to begin from; `None` where something did not settle.
    pub(in crate::circuit) fn keep(&self) -> Option<Rest> {
        self.unsettled.is_empty().then(|| self.search.keep())
    }

    /// A search over a circuit that differs from that of a state of rest in the branches that are `altered`, ascending; branches that it
    /// has beyond those of the other are among them.
    #[must_use]
    pub(in crate::circuit) fn resume(circuit: &'a Circuit, rest: &'a Rest, altered: &[u32]) -> Self {
        let refused = rest.refusals(circuit, altered);
        let search = Search::resume(circuit, &refused, rest, altered);
        Self { search, refused, unsettled: Vec::new(), before: 0 }
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
        if !self.unsettled.is_empty() {
            operating.contested.clone_from(&self.search.contested);
            operating.unexplored.clone_from(&self.search.unexplored);
        }
        let swinging: Vec<u32> = self.unsettled.iter().chain(&self.search.raced).copied().collect();
        operating.swings = self.search.swings(&swinging);
        operating.rounds += self.before;
        operating
    }
}
