//! Which branches can be computed with, and why the others can not.

use crate::{
    circuit::{Branch, BranchKind, Circuit, Refusal, RefusalReason},
    quantity::Ohm,
};
use rustc_hash::FxHashSet;

/// The refused branches, ascending.
pub(super) fn refusals(circuit: &Circuit) -> Vec<Refusal> {
    refusals_among(circuit, 0..circuit.branches.len() as u32)
}

/// Those of these branches that are refused, ascending as they are; all inputs of converters have to be among them.
pub(super) fn refusals_among(circuit: &Circuit, numbers: impl Iterator<Item = u32>) -> Vec<Refusal> {
    let mut taken = FxHashSet::default();
    let mut refused = Vec::new();
    for number in numbers {
        let Some(branch) = circuit.branches.get(number as usize) else { continue };
        let why = fault(circuit, branch).or_else(|| {
            let BranchKind::ConverterInput { output, .. } = branch.kind else { return None };
            (!taken.insert(output)).then_some(RefusalReason::OutputTaken)
        });
        if let Some(why) = why {
            refused.push(Refusal { branch: number, why });
        }
    }
    refused
}

fn fault(circuit: &Circuit, branch: &Branch) -> Option<RefusalReason> {
    if branch.from >= circuit.nodes || branch.to >= circuit.nodes {
        return Some(RefusalReason::NoSuchNode);
    }
    if branch.from == branch.to {
        return Some(RefusalReason::SameNode);
    }
    let kind = |number: u32| circuit.branches.get(number as usize).map(|branch| branch.kind);
    match branch.kind {
        BranchKind::Open => None,
        BranchKind::Resistance(ohms) => resistance(ohms),
        // A reversed cell is a fault of the design that must be computed, so a negative voltage is not refused.
        BranchKind::Source { emf, resistance: ohms, limit } => {
            resistance(ohms).or(size(emf.get().abs(), false)).or(limit.and_then(|limit| size(limit.get(), true)))
        }
        BranchKind::CurrentLoad { amps, nominal } => size(amps.get(), false).or(size(nominal.get(), true)),
        BranchKind::PowerLoad { watts, nominal } => size(watts.get(), false).or(size(nominal.get(), true)),
        BranchKind::Diode { drop, resistance: ohms } => resistance(ohms).or(size(drop.get(), false)),
        BranchKind::Coil { resistance: ohms, pull_in, hold } => {
            resistance(ohms).or(size(pull_in.get(), true)).or(size(hold.get(), true))
        }
        BranchKind::RelayContact { coil, resistance: ohms, .. } => match kind(coil) {
            // A coil that is open holds nothing.
            Some(BranchKind::Coil { .. } | BranchKind::Open) => resistance(ohms),
            _ => Some(RefusalReason::NotACoil),
        },
        BranchKind::ConverterInput { output, efficiency, nominal } => match kind(output) {
            Some(BranchKind::Source { .. }) if efficiency.get() <= 0.0 || efficiency.get() > 1.0 => {
                Some(RefusalReason::Efficiency)
            }
            Some(BranchKind::Source { .. }) => size(nominal.get(), true),
            _ => Some(RefusalReason::NotASource),
        },
    }
}

fn resistance(ohms: Ohm) -> Option<RefusalReason> {
    (!(1e-12..=1e15).contains(&ohms.get())).then_some(RefusalReason::Resistance)
}

/// Checks a magnitude; a zero is refused if it is `needed`.
fn size(value: f64, needed: bool) -> Option<RefusalReason> {
    let least = if needed { f64::MIN_POSITIVE } else { 0.0 };
    (!(least..=1e12).contains(&value)).then_some(RefusalReason::Magnitude)
}
