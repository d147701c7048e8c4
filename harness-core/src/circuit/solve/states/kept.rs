//! Behaviours of a state of rest, to begin another search with.

use super::{Behaviour, States};
use crate::circuit::{BranchKind, solve::table::Table};

/// How each branch behaves where a circuit is at rest.
#[derive(Debug)]
pub(in crate::circuit::solve) struct Kept {
    behaviours: Vec<Behaviour>,
    pub(in crate::circuit::solve) ohms: Table<f64>,
    pub(in crate::circuit::solve) emfs: Table<f64>,
    given: Table<f64>,
    energised: Table<bool>,
    rescued: bool,
}

impl Kept {
    pub(in crate::circuit::solve) fn behaviour(&self, branch: u32) -> Behaviour {
        self.behaviours.get(branch as usize).copied().unwrap_or_default()
    }
}

impl States<'_> {
    /// The behaviours as they are.
    pub(in crate::circuit::solve) fn keep(&self) -> Kept {
        Kept {
            behaviours: self.behaviours.clone(),
            ohms: self.ohms.clone(),
            emfs: self.emfs.clone(),
            given: self.given.clone(),
            energised: self.energised.clone(),
            rescued: self.rescued,
        }
    }

    /// Behaves as kept, but for the branches that are `altered`, ascending, which begin anew, and those that can not be computed with
    /// now, such as the input of a converter without an output; from here on account is kept of what changes.
    pub(in crate::circuit::solve) fn begin_with(&mut self, kept: &Kept, altered: &[u32]) {
        for (number, &behaviour) in (0..).zip(&kept.behaviours) {
            if altered.binary_search(&number).is_ok() || self.refused.binary_search(&number).is_ok() {
                continue;
            }
            if let Some(slot) = self.behaviours.get_mut(number as usize) {
                *slot = behaviour;
            }
            self.ohms.set(number, kept.ohms.at(number));
            self.emfs.set(number, kept.emfs.at(number));
            self.given.set(number, kept.given.at(number));
            self.energised.set(number, kept.energised.at(number));
        }
        for input in self.inputs.clone() {
            if let BranchKind::ConverterInput { output, .. } = self.kind(input) {
                let runs = self.converts(input);
                self.held_off.set(output, !runs);
                let behaviour = if runs { Behaviour::Conducts } else { Behaviour::Off };
                if self.behaviour(output) != behaviour && (!runs || altered.binary_search(&output).is_ok()) {
                    self.enter(output, behaviour);
                }
            }
        }
        self.rescued = kept.rescued;
        self.changed = true;
        self.touched = Some(altered.iter().chain(&self.refused).copied().collect());
        // A coil that was altered has let go.
        self.switch_contacts();
    }
}
