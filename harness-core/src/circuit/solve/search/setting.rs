//! The state of one setting of relays and converters.
//!
//! Idea: a load of constant power can have two states in one setting, and the ordinary search finds the one that is near. Where nothing
//! is short of voltage because of what the search went through, that is also the one at the highest voltages; begun with everything short of
//! voltage, it is the one at the lowest. [`rescue`](crate::circuit::solve::rescue) finds both wherever they are, at ten times the cost: it is for
//! what the ordinary search leaves open.

use super::{NEAR, Search};
use crate::circuit::solve::{
    judge,
    rescue::Begin,
    states::{Behaviour, Snapshot},
    table::Table,
};

/// What branches do, and the voltages of the nodes.
pub(super) type State = (Snapshot, Table<f64>);

/// Which coils and converters of a circuit are on, ascending.
pub(super) type Setting = Vec<u32>;

/// Where the search for the state of a setting begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Start {
    /// With the voltages that the setting before left.
    There,
    /// With nothing drawn: the state at the highest voltages is found.
    Unloaded,
    /// With all that loads and converters can ever draw: the state at the lowest voltages is found.
    Down,
}

/// A state of a setting.
pub(super) struct Settled {
    /// The relays and converters that contradict it.
    pub(super) switching: Vec<u32>,
    /// Whether it is known to be the one at the highest voltages.
    pub(super) is_highest: bool,
}

impl Search<'_> {
    /// Searches for the state of a setting of those `within`, beginning in the state before; else gives the branches that did not settle.
    pub(super) fn settle_in(
        &mut self,
        within: &[u32],
        setting: &Setting,
        start: Start,
        before: &State,
    ) -> Result<Settled, Vec<u32>> {
        self.set_to(within, setting, before);
        let (near, begin) = match start {
            Start::There => (self.fed(), Begin::Voltages(&before.1)),
            Start::Unloaded => (None, Begin::Least),
            Start::Down => (self.starved(), Begin::Most),
        };
        if let Some(switching) = near {
            return Ok(Settled { switching, is_highest: start == Start::There });
        }
        if start != Start::Unloaded {
            self.set_to(within, setting, before);
        }
        let switching = self.settle_with(begin)?;
        Ok(Settled { switching, is_highest: start == Start::Unloaded })
    }

    /// Searches for the state of a setting at the lowest voltages, near by alone; whether one was found.
    pub(super) fn settle_starved(&mut self, within: &[u32], setting: &Setting, before: &State) -> bool {
        self.set_to(within, setting, before);
        self.starved().is_some()
    }

    /// Turns over what is not as in this setting.
    fn set_to(&mut self, within: &[u32], setting: &Setting, (before, _): &State) {
        self.states.restore(before);
        let on = self.on();
        let differs = |number: &u32| on.binary_search(number).is_ok() != setting.binary_search(number).is_ok();
        let turned: Vec<u32> = within.iter().copied().filter(differs).collect();
        self.turn_over(&turned);
        self.draws.forget();
        self.states.changed = true;
    }

    /// The relays and converters that contradict the state near by, where nothing in it is short of voltage for nothing.
    fn fed(&mut self) -> Option<Vec<u32>> {
        self.rest(NEAR).ok()?;
        let is_short = self.pulled_down() > 0 || self.may_any_starve_for_nothing();
        self.switching_unless(is_short)
    }

    /// The relays and converters that contradict the state that is reached from where everything is short of voltage.
    fn starved(&mut self) -> Option<Vec<u32>> {
        for load in self.states.loads().to_vec() {
            if self.has_curve(load) {
                self.states.enter(load, Behaviour::Starves);
            }
        }
        for input in self.states.inputs().to_vec() {
            if self.states.converts(input) {
                self.states.enter(input, Behaviour::Starves);
                self.states.hold(input, self.states.starving(input, self.states.most_in(input)));
            }
        }
        // From below: a load that looked fed while a source gave more than it can would never be short again.
        self.givers_first = true;
        let rest = self.rest(NEAR);
        self.givers_first = false;
        rest.ok()?;
        self.switching_unless(false)
    }

    fn switching_unless(&mut self, is_short: bool) -> Option<Vec<u32>> {
        let is_sure = !is_short && self.feeding_themselves().is_empty();
        is_sure.then(|| judge::switching(self.circuit, &self.states, &self.solution))
    }
}
