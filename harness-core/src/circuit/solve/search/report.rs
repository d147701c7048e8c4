//! What is reported of a state when the search has ended.

use super::Search;
use crate::{
    circuit::{
        Operating, Swing,
        solve::{solution::Solution, states::Behaviour, table::Table},
    },
    quantity::{Ampere, Volt},
};

impl Search<'_> {
    /// What makes those of these branches change over that did so both ways.
    pub(in crate::circuit::solve) fn swings(&self, numbers: &[u32]) -> Vec<Swing> {
        let swings = numbers.iter().filter_map(|branch| {
            let (off, on) = *self.turned.get(branch)?;
            Some(Swing { branch: *branch, off: Volt::new(off?), on: Volt::new(on?) })
        });
        swings.collect()
    }

    /// The state as it is.
    pub(in crate::circuit::solve) fn report(&self) -> Operating {
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
            contested: Vec::new(),
            unexplored: Vec::new(),
            refused: Vec::new(),
            residual,
            rounds: self.rounds,
        }
    }
}
