//! Behaviours of a state of rest, to begin another search with.

use super::{Behaviour, States, numbers};
use crate::circuit::{BranchKind, Circuit, Refusal, solve::table::Table};

/// How each branch behaves where a circuit is at rest.
#[derive(Debug)]
pub(in crate::circuit::solve) struct Kept {
    behaviours: Vec<Behaviour>,
    pub(in crate::circuit::solve) ohms: Table<f64>,
    pub(in crate::circuit::solve) emfs: Table<f64>,
    given: Table<f64>,
    energised: Table<bool>,
    refused: Vec<u32>,
    loads: Vec<u32>,
    inputs: Vec<u32>,
    coils: Vec<u32>,
    contacts: Vec<u32>,
    one_way: Vec<u32>,
    rescued: bool,
}

impl Kept {
    pub(in crate::circuit::solve) fn behaviour(&self, branch: u32) -> Behaviour {
        self.behaviours.get(branch as usize).copied().unwrap_or_default()
    }

    /// Branches that name others, and those that were refused: only these and what is altered itself may be refused after an alteration.
    pub(in crate::circuit::solve) fn leaning(&self) -> impl Iterator<Item = u32> + '_ {
        self.refused.iter().chain(&self.inputs).chain(&self.contacts).copied()
    }
}

impl<'c> States<'c> {
    /// The behaviours as they are.
    pub(in crate::circuit::solve) fn keep(&self) -> Kept {
        Kept {
            behaviours: self.behaviours.clone(),
            ohms: self.ohms.clone(),
            emfs: self.emfs.clone(),
            given: self.given.clone(),
            energised: self.energised.clone(),
            refused: self.refused.clone(),
            loads: self.loads.clone(),
            inputs: self.inputs.clone(),
            coils: self.coils.clone(),
            contacts: self.contacts.clone(),
            one_way: self.one_way.clone(),
            rescued: self.rescued,
        }
    }

    /// Behaves as kept, but for the branches that are `altered`, ascending, which begin anew, and those that can not be computed with
    /// now, such as the input of a converter without an output; from here on account is kept of what changes.
    pub(in crate::circuit::solve) fn resume(circuit: &'c Circuit, refused: &[Refusal], kept: &Kept, altered: &[u32]) -> Self {
        let count = circuit.branches.len();
        let mut behaviours = Vec::with_capacity(count);
        behaviours.extend_from_slice(&kept.behaviours);
        behaviours.resize(count, Behaviour::Off);
        let refused = numbers(refused);
        let is_new = |branch: &u32| altered.binary_search(branch).is_ok() || refused.binary_search(branch).is_ok();
        let others = |list: &[u32]| list.iter().copied().filter(|branch| !is_new(branch)).collect();
        let mut states = Self {
            circuit,
            behaviours,
            ohms: kept.ohms.grown(count),
            emfs: kept.emfs.grown(count),
            given: kept.given.grown(count),
            energised: kept.energised.grown(count),
            held_off: Table::new(count),
            loads: others(&kept.loads),
            inputs: others(&kept.inputs),
            coils: others(&kept.coils),
            contacts: others(&kept.contacts),
            one_way: others(&kept.one_way),
            changed: true,
            rescued: kept.rescued,
            retuned: false,
            touched: None,
            refused,
        };
        let begun: Vec<u32> = altered.iter().chain(&states.refused).copied().collect();
        for branch in &begun {
            states.energised.set(*branch, false);
            states.enter(*branch, Behaviour::Off);
            states.begin(*branch);
        }
        states.touched = Some(begun);
        for input in states.inputs.clone() {
            if let BranchKind::ConverterInput { output, .. } = states.kind(input) {
                let runs = states.converts(input);
                states.held_off.set(output, !runs);
                let behaviour = if runs { Behaviour::Conducts } else { Behaviour::Off };
                if states.behaviour(output) != behaviour && (!runs || altered.binary_search(&output).is_ok()) {
                    states.enter(output, behaviour);
                }
            }
        }
        // A coil that was altered has let go.
        states.switch_contacts();
        states
    }
}
