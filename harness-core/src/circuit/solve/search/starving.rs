//! Converters, loads and sources that have too little voltage, and whether that is so because of what the search went through.

use super::{NEAR, SOLUTIONS, Search};
use crate::circuit::{BranchKind, solve::states::Behaviour};

/// Share of its voltage below which a source at its limit is pulled down by what it feeds, and not held by a battery that it charges.
const PULLED_DOWN: f64 = 0.7;

impl Search<'_> {
    /// How many sources at their limit have so little voltage that loads of constant power may hold them down: they draw the more, and at a
    /// higher voltage the source could feed them. A battery that it charges holds it above that.
    pub(super) fn pulled_down(&self) -> usize {
        let states = &self.states;
        let is_low = |number: &&u32| match states.kind(**number) {
            BranchKind::Source { emf, limit: Some(_), .. } => {
                let (negative, positive) = self.ends.at(**number);
                states.behaviour(**number) == Behaviour::Limits
                    && self.solution.across(positive, negative) < PULLED_DOWN * emf.get()
            }
            _ => false,
        };
        if self.has_constant_power() { states.one_way().iter().filter(is_low).count() } else { 0 }
    }

    /// Whether a converter has less than half of its voltage though there may be a state in which it has more.
    ///
    /// There is none where no source is on, nor where it would not have its voltage even if it took nothing.
    pub(super) fn may_starve_for_nothing(&mut self) -> bool {
        let inputs = self.states.inputs().to_vec();
        self.may_be_short_for_nothing(inputs)
    }

    /// The same of loads of constant power too.
    pub(super) fn may_any_starve_for_nothing(&mut self) -> bool {
        let loads = self.states.loads().iter().filter(|load| self.has_curve(**load));
        let both = self.states.inputs().iter().chain(loads).copied().collect();
        self.may_be_short_for_nothing(both)
    }

    /// Whether something takes the more current the less voltage it has; else a setting has one state alone.
    pub(super) fn has_constant_power(&self) -> bool {
        let states = &self.states;
        states.inputs().iter().any(|input| states.converts(*input)) || states.loads().iter().any(|load| self.has_curve(*load))
    }

    fn may_be_short_for_nothing(&mut self, mut branches: Vec<u32>) -> bool {
        let islands = &self.solution.islands;
        let starves = |branch: &u32| match self.states.behaviour(*branch) {
            Behaviour::Starves | Behaviour::Holds | Behaviour::Idles => islands.live_at(self.ends.at(*branch).0),
            Behaviour::Off | Behaviour::Conducts | Behaviour::Draws | Behaviour::Limits => false,
        };
        branches.retain(starves);
        !branches.is_empty() && !self.is_short_of_volts(&branches)
    }

    /// Whether a load takes the more current the less voltage it has.
    pub(super) fn has_curve(&self, load: u32) -> bool {
        matches!(self.states.kind(load), BranchKind::PowerLoad { .. }) && self.states.ever_draws(load)
    }

    /// Whether none of these converters and loads has its voltage while none of them takes anything and all converters give what they are made
    /// for, which is the most that each can get, whatever feeds it. The search ends as it began.
    fn is_short_of_volts(&mut self, branches: &[u32]) -> bool {
        let as_it_was = self.states.snapshot();
        for branch in branches {
            self.states.enter(*branch, Behaviour::Off);
        }
        let is_found = self.rest(NEAR).is_ok();
        let is_short = |branch: &u32| {
            let (from, to) = self.ends.at(*branch);
            !self.solution.islands.same(from, to) || self.solution.across(from, to).abs() < self.states.threshold(*branch)
        };
        let is_short = is_found && branches.iter().all(is_short);
        self.states.restore(&as_it_was);
        self.draws.forget();
        self.states.changed = true;
        is_short && self.rest(SOLUTIONS).is_ok()
    }
}
