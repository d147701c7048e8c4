//! What a short drives, against a dense solution by brute force.

pub mod library;
pub mod networks;
pub mod short;

use harness_core::{
    internals::circuit::{Branch, BranchKind, Circuit, ports::Shorts},
    quantity::{Ampere, Ohm, Volt},
};
use harness_tests::tier::{sample, share};

/// Largest difference, relative to the largest current of the network.
const SAME: f64 = 1e-7;
/// Current that counts as none.
const NONE: f64 = 1e-9;

/// In what the library and the reference differ over a short, if they do.
fn difference(circuit: &Circuit, shorts: &mut Shorts<'_>, pair: (u32, u32), rest: &[f64]) -> Option<String> {
    let exact = short::short(circuit, Some(pair));
    let (amps, branches) = library::found(shorts, pair, rest);
    let most = exact.branches.iter().fold(exact.amps.abs(), |most, amps| most.max(amps.abs()));
    let least = SAME * most + NONE;
    if (amps - exact.amps.abs()).abs() > least {
        return Some(format!("short {pair:?}: {amps} A, reference {} A, {most} A at most", exact.amps));
    }
    let differences = branches.iter().zip(&exact.branches).map(|(ours, exact)| (ours - exact).abs());
    let branch = differences.enumerate().find(|(_, difference)| *difference > least)?.0;
    let (ours, exact) = (branches[branch], exact.branches[branch]);
    Some(format!("short {pair:?} of {amps} A: branch {branch}, {:?}: {ours} A, reference {exact} A", circuit.branches[branch]))
}

#[test]
fn shorts_of_random_networks_are_those_of_the_dense_reference() {
    let test = "shorts_of_random_networks_are_those_of_the_dense_reference";
    let mut failures = Vec::new();
    let mut count = 0;
    for (nodes, seeds, step) in [(6, 100, 1), (20, 40, 1), (60, 6, 3), (120, 2, 12), (200, 1, 20)] {
        for seed in sample(test, 0..seeds) {
            let circuit = networks::network(seed, nodes);
            let mut shorts = Shorts::new(&circuit);
            let rest = short::short(&circuit, None).branches;
            for point in (1..nodes).step_by(step) {
                // To the reference, and to some other point.
                for pair in [(point, 0), (point, (point * 7 + 3) % nodes)] {
                    count += 1;
                    let failure = difference(&circuit, &mut shorts, pair, &rest);
                    failures.extend(failure.map(|failure| format!("{nodes} nodes, seed {seed}: {failure}")));
                }
            }
        }
    }
    println!("{count} shorts, {} differ", failures.len());
    assert!(count > 2_500 / share(test) && failures.is_empty(), "{}", failures.join("\n"));
}

fn circuit(nodes: u32, branches: &[(u32, u32, BranchKind)]) -> Circuit {
    let branches = branches.iter().map(|&(from, to, kind)| Branch { from, to, kind }).collect();
    Circuit { nodes, branches, references: vec![0] }
}

fn ohms(value: f64) -> BranchKind {
    BranchKind::Resistance(Ohm::new(value))
}

fn source(emf: f64, resistance: f64, limit: Option<f64>) -> BranchKind {
    BranchKind::Source { emf: Volt::new(emf), resistance: Ohm::new(resistance), limit: limit.map(Ampere::new) }
}

fn diode(drop: f64, resistance: f64) -> BranchKind {
    BranchKind::Diode { drop: Volt::new(drop), resistance: Ohm::new(resistance) }
}

/// The reference and the library give what was computed by hand.
#[track_caller]
fn by_hand(circuit: &Circuit, pair: (u32, u32), amps: f64) {
    let exact = short::short(circuit, Some(pair));
    let rest = short::short(circuit, None).branches;
    assert!((exact.amps.abs() - amps).abs() <= 1e-9 * amps, "the reference finds {} A, not {amps} A", exact.amps);
    assert_eq!(difference(circuit, &mut Shorts::new(circuit), pair, &rest), None);
}

#[test]
fn shorts_by_hand() {
    // A battery of 12.6 V behind 8 mohm, 12 mohm of lead: 630 A.
    by_hand(&circuit(3, &[(0, 1, source(12.6, 0.008, None)), (1, 2, ohms(0.012))]), (2, 0), 630.0);
    // Two batteries side by side: 12 V behind 10 mohm and 12 V behind 30 mohm are 12 V behind 7.5 mohm.
    let parts = [(0, 1, source(12.0, 0.010, None)), (0, 1, source(12.0, 0.030, None))];
    by_hand(&circuit(2, &parts), (0, 1), 1_600.0);
    // A charger of 20 A beside a battery: the battery's 12 V by 10 mohm, and 20 A.
    let parts = [(0, 1, source(12.0, 0.010, None)), (0, 1, source(14.0, 0.010, Some(20.0)))];
    by_hand(&circuit(2, &parts), (1, 0), 1_220.0);
    // A charger alone gives its limit.
    by_hand(&circuit(2, &[(0, 1, source(14.0, 0.010, Some(20.0)))]), (1, 0), 20.0);
    // Two chargers in series give the lesser limit.
    let parts = [(0, 1, source(14.0, 0.010, Some(20.0))), (1, 2, source(14.0, 0.010, Some(30.0)))];
    by_hand(&circuit(3, &parts), (2, 0), 20.0);
    // A diode that looks the other way lets nothing pass.
    by_hand(&circuit(3, &[(0, 1, source(12.0, 0.010, None)), (2, 1, diode(0.7, 0.01))]), (2, 0), 0.0);
}

#[test]
fn a_diode_that_only_the_fault_turns_on_counts() {
    // A charger of 5 A is above a battery behind a diode; the short pulls it down, and the battery gives what 9.5 V drive
    // through 20 mohm on top of the 5 A.
    let parts = [(0, 1, source(12.0, 0.01, Some(5.0))), (0, 2, source(10.0, 0.01, None)), (2, 1, diode(0.5, 0.01))];
    by_hand(&circuit(3, &parts), (1, 0), 480.0);
    // A battery touches a lead that only diodes join to its return: 0.5 V and 20 mohm, beside 0.7 V and 113 mohm, are
    // 0.5300752 V and 16.992481 mohm; with the battery's 1 mohm 11.4699248 V drive 637.4843 A.
    let parts = [(0, 1, source(12.0, 1e-3, None)), (2, 0, diode(0.5, 0.02)), (2, 3, diode(0.7, 0.01)), (3, 0, ohms(0.103))];
    by_hand(&circuit(4, &parts), (1, 2), (12.0 - 705.0 / 1_330.0) / (0.001 + 2.26 / 133.0));
}
