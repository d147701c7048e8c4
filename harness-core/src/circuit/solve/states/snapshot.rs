//! What branches do at one moment of a search, to come back to.

use super::{Behaviour, States};
use crate::circuit::BranchKind;

/// What the branches that may behave in several ways do, to come back to.
#[derive(Debug)]
pub(in crate::circuit::solve) struct Snapshot {
    /// Branch, behaviour, given current, resistance.
    branches: Vec<(u32, Behaviour, f64, f64)>,
    energised: Vec<u32>,
    rescued: bool,
}

impl Snapshot {
    /// As this one, but as `other` where `is_other` says so of a branch.
    pub(in crate::circuit::solve) fn with(&self, other: &Self, is_other: impl Fn(u32) -> bool) -> Self {
        let pairs = self.branches.iter().zip(&other.branches);
        let own = self.energised.iter().filter(|coil| !is_other(**coil));
        Self {
            branches: pairs.map(|(own, other)| if is_other(own.0) { *other } else { *own }).collect(),
            energised: own.chain(other.energised.iter().filter(|coil| is_other(**coil))).copied().collect(),
            rescued: self.rescued || other.rescued,
        }
    }
}

impl States<'_> {
    /// What all branches do that may behave in several ways.
    pub(in crate::circuit::solve) fn snapshot(&self) -> Snapshot {
        let outputs = self.inputs.iter().filter_map(|input| match self.kind(*input) {
            BranchKind::ConverterInput { output, .. } => Some(output),
            _ => None,
        });
        let numbers = self.loads.iter().chain(&self.inputs).chain(&self.one_way).copied().chain(outputs);
        Snapshot {
            branches: numbers
                .map(|number| (number, self.behaviour(number), self.given.at(number), self.ohms.at(number)))
                .collect(),
            energised: self.coils.iter().copied().filter(|coil| self.energised.at(*coil)).collect(),
            rescued: self.rescued,
        }
    }

    /// Makes all branches behave as in a snapshot of this network.
    pub(in crate::circuit::solve) fn restore(&mut self, snapshot: &Snapshot) {
        for &(number, behaviour, given, ohms) in &snapshot.branches {
            if self.behaviour(number) != behaviour {
                self.enter(number, behaviour);
            }
            self.given.set(number, given);
            self.hold(number, ohms);
        }
        for input in self.inputs.clone() {
            if let BranchKind::ConverterInput { output, .. } = self.kind(input) {
                let runs = self.converts(input);
                self.held_off.set(output, !runs);
            }
        }
        for coil in self.coils.clone() {
            self.energised.set(coil, snapshot.energised.contains(&coil));
        }
        self.switch_contacts();
        self.rescued = snapshot.rescued;
    }
}
