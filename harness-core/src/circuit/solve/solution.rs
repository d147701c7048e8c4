//! Voltages and currents of one set of behaviours, and what is reported of them.

use super::{islands::Islands, search::Search, states::Behaviour, table::Table};
use crate::{
    circuit::{Operating, Swing},
    quantity::{Ampere, Volt},
};

/// Voltages and currents for one set of behaviours.
#[derive(Debug, Default)]
pub(super) struct Solution {
    pub(super) islands: Islands,
    pub(super) volts: Table<f64>,
    pub(super) amps: Table<f64>,
    /// Per island, the largest branch current.
    pub(super) most: Table<f64>,
}

impl Solution {
    pub(super) fn across(&self, from: u32, to: u32) -> f64 {
        self.volts.at(from) - self.volts.at(to)
    }

    /// Current that counts as none at `node`.
    pub(super) fn amp_slack(&self, node: u32) -> f64 {
        1e-12 * self.most.at(self.islands.of.at(node))
    }

    /// Voltage that counts as none between two nodes.
    pub(super) fn volt_slack(&self, from: u32, to: u32) -> f64 {
        1e-12 * (1.0 + self.volts.at(from).abs() + self.volts.at(to).abs())
    }
}

impl Search<'_> {
    /// What makes those of these branches change over that did so both ways.
    pub(super) fn swings(&self, numbers: &[u32]) -> Vec<Swing> {
        let swings = numbers.iter().filter_map(|branch| {
            let (off, on) = *self.turned.get(branch)?;
            Some(Swing { branch: *branch, off: Volt::new(off?), on: Volt::new(on?) })
        });
        swings.collect()
    }

    /// The state as it is.
    pub(super) fn report(&self) -> Operating {
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
        Operating {
            volts: volts.list().iter().map(|volts| Volt::new(*volts)).collect(),
            amps: amps.list().iter().map(|amps| Ampere::new(*amps)).collect(),
            live: (0..self.circuit.nodes).map(|node| islands.live_at(node)).collect(),
            energised: self.states.energised.list().to_vec(),
            limiting: numbers.clone().filter(|number| self.states.behaviour(*number) == Behaviour::Limits).collect(),
            converting: numbers.map(|number| self.states.converts(number)).collect(),
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
