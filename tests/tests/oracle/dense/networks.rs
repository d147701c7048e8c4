//! Networks for faults: what remains of a circuit when its loads are off, and random ones.

use harness_core::{
    internals::circuit::{Branch, BranchKind, Circuit, Operating},
    quantity::{Ampere, Ohm, Volt},
};
use harness_tests::corpus::generator::Numbers;

/// What a fault meets in the state of a circuit: loads, coils and the inputs of converters are off, contacts stay as they are,
/// converters that run give up to their limit.
pub fn frozen(circuit: &Circuit, state: &Operating) -> Circuit {
    let runs = |source: usize| {
        let mut inputs = circuit.branches.iter().zip(&state.converting);
        inputs.all(|(input, runs)| match input.kind {
            BranchKind::ConverterInput { output, .. } => output as usize != source || *runs,
            _ => true,
        })
    };
    let branches = circuit.branches.iter().enumerate().map(|(number, branch)| {
        let kind = match branch.kind {
            BranchKind::Resistance(_) | BranchKind::Diode { .. } => branch.kind,
            BranchKind::Source { .. } if runs(number) => branch.kind,
            BranchKind::RelayContact { coil, closed_when_energised, resistance }
                if state.energised[coil as usize] == closed_when_energised =>
            {
                BranchKind::Resistance(resistance)
            }
            _ => BranchKind::Open,
        };
        Branch { kind, ..*branch }
    });
    Circuit { branches: branches.collect(), ..circuit.clone() }
}

/// A network of `nodes` nodes: a tree with a few branches open, loops, sources with and without a limit, diodes.
pub fn network(seed: u64, nodes: u32) -> Circuit {
    let mut numbers = Numbers::new(50_000 + seed);
    let mut share = move || numbers.below(1_000_000) as f64 / 1e6;
    let mut branches = Vec::new();
    let pick = |share: f64, limit: u32| (share * f64::from(limit)) as u32;
    for node in 1..nodes {
        let from = pick(share(), node);
        let kind = if share() < 0.06 { BranchKind::Open } else { resistance(share()) };
        branches.push(Branch { from, to: node, kind });
    }
    let pair = |share: &mut dyn FnMut() -> f64| {
        let from = pick(share(), nodes);
        (from, (from + 1 + pick(share(), nodes - 1)) % nodes)
    };
    for _ in 0..1 + nodes / 6 {
        let (from, to) = pair(&mut share);
        branches.push(Branch { from, to, kind: resistance(share()) });
    }
    for _ in 0..2 + pick(share(), 5) {
        let (from, to) = pair(&mut share);
        let limit = (share() < 0.5).then(|| Ampere::new(0.5 + 30.0 * share()));
        let kind =
            BranchKind::Source { emf: Volt::new(5.0 + 40.0 * share()), resistance: Ohm::new(0.002 + 0.1 * share()), limit };
        branches.push(Branch { from, to, kind });
    }
    for _ in 0..pick(share(), 8) {
        let (from, to) = pair(&mut share);
        let kind = BranchKind::Diode { drop: Volt::new(0.3 + 0.5 * share()), resistance: Ohm::new(0.01) };
        branches.push(Branch { from, to, kind });
    }
    Circuit { nodes, branches, references: vec![0] }
}

/// Mostly metal, milliohms to ohms; every eighth a resistor of up to a hundred kilohms.
fn resistance(share: f64) -> BranchKind {
    let exponent = if share < 0.125 { 1.0 + 32.0 * share } else { -3.0 + 4.0 * share };
    BranchKind::Resistance(Ohm::new(10_f64.powf(exponent)))
}
