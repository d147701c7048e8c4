//! Shorts against hand-computed values, and random networks against a dense solution with the two points joined.

use super::{Chain, Flow, Shorts};
use crate::{
    circuit::{Branch, BranchKind, Circuit},
    quantity::{Ampere, Ohm, Volt},
};
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

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

/// The current of a short and of every branch that it changes.
fn short(circuit: &Circuit, (a, b): (u32, u32), opened: &[u32]) -> (f64, Vec<Option<f64>>) {
    let mut shorts = Shorts::new(circuit);
    let (mut chain, mut flow) = (Chain::default(), Flow::default());
    let mut amps = vec![None; circuit.branches.len()];
    if !shorts.chain(a, b, &mut chain) {
        return (0.0, amps);
    }
    shorts.flow(&chain, opened, &mut flow);
    shorts.each(&chain, &flow, |branch, value| amps[branch as usize] = Some(value));
    (flow.amps, amps)
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "found {found}, expected {expected}");
}

#[test]
fn a_loop_of_one_source_is_ohms_law() {
    // Battery, fuse, feed, return: 12 V over 10 + 2 + 30 + 18 milliohm.
    let branches = [(0, 1, source(12.0, 0.010, None)), (1, 2, ohms(0.002)), (2, 3, ohms(0.030)), (4, 0, ohms(0.018))];
    let (amps, flows) = short(&circuit(5, &branches), (3, 4), &[]);
    near(amps, 12.0 / 0.060);
    assert!(flows.iter().all(|flow| (flow.unwrap() - 200.0).abs() < 1e-9));
    assert_eq!(short(&circuit(5, &branches), (3, 4), &[1]).0, 0.0);
}

#[test]
fn a_converter_adds_its_limit_and_stays_when_the_battery_is_off() {
    // A battery and a converter of 50 A feed one bar; the short is behind 20 milliohm.
    let branches = [
        (0, 1, source(12.0, 0.010, None)),
        (1, 2, ohms(0.005)),
        (0, 3, source(14.0, 0.010, Some(50.0))),
        (3, 2, ohms(0.005)),
        (2, 4, ohms(0.020)),
    ];
    let network = circuit(5, &branches);
    let (amps, flows) = short(&network, (4, 0), &[]);
    // The battery's loop: 12 V = 15 milliohm x (I - 50 A) + 20 milliohm x I.
    near(amps, (12.0 + 0.015 * 50.0) / 0.035);
    near(flows[2].unwrap(), 50.0);
    near(flows[0].unwrap(), amps - 50.0);
    let (amps, flows) = short(&network, (4, 0), &[1]);
    near(amps, 50.0);
    near(flows[3].unwrap(), 50.0);
    assert_eq!(flows[1].unwrap_or(0.0), 0.0);
}

#[test]
fn a_diode_lets_no_short_current_back() {
    let branches = [(0, 1, source(12.0, 0.010, None)), (1, 2, diode(0.7, 0.010)), (2, 3, ohms(0.010))];
    near(short(&circuit(4, &branches), (3, 0), &[]).0, 11.3 / 0.030);
    let branches = [(0, 1, source(12.0, 0.010, None)), (2, 1, diode(0.7, 0.010)), (2, 3, ohms(0.010))];
    near(short(&circuit(4, &branches), (3, 0), &[]).0, 0.0);
}

/// Resistances over five decades; tree, loops, and up to three sources and two diodes.
fn networks() -> impl Strategy<Value = Circuit> {
    let resistance = || (-3.0..2.0_f64).prop_map(|exponent| ohms(10_f64.powf(exponent)));
    (3..12_u32).prop_flat_map(move |nodes| {
        let tree = prop::collection::vec((any::<prop::sample::Index>(), resistance()), nodes as usize - 1);
        let pair = || (0..nodes, 1..nodes).prop_map(move |(from, step)| (from, (from + step) % nodes));
        let loops = prop::collection::vec((pair(), resistance()), 0..4);
        let sources = prop::collection::vec(
            (
                pair(),
                (1.0..50.0_f64, -3.0..0.0_f64, prop::option::of(0.1..50.0_f64))
                    .prop_map(|(emf, exponent, limit)| source(emf, 10_f64.powf(exponent), limit)),
            ),
            1..4,
        );
        let diodes = prop::collection::vec((pair(), (0.2..1.0_f64).prop_map(|drop| diode(drop, 0.01))), 0..3);
        (tree, loops, sources, diodes).prop_map(move |(tree, loops, sources, diodes)| {
            let mut list: Vec<(u32, u32, BranchKind)> = Vec::new();
            for ((parent, kind), node) in tree.into_iter().zip(1_u32..) {
                list.push((parent.index(node as usize) as u32, node, kind));
            }
            for ((from, to), kind) in loops.into_iter().chain(sources).chain(diodes) {
                list.push((from, to, kind));
            }
            circuit(nodes, &list)
        })
    })
}

/// The currents of all branches and of the short, from the full set of equations; every state of the one-way branches is tried
/// until one agrees with its own currents.
fn dense(circuit: &Circuit, (a, b): (u32, u32)) -> Option<(f64, Vec<f64>)> {
    let one_way: Vec<usize> = (0..circuit.branches.len())
        .filter(|place| match circuit.branches[*place].kind {
            BranchKind::Source { limit, .. } => limit.is_some(),
            BranchKind::Diode { .. } => true,
            _ => false,
        })
        .collect();
    let nodes = circuit.nodes as usize;
    let count = circuit.branches.len();
    for code in 0..3_usize.pow(one_way.len() as u32) {
        let mut states = vec![1; count];
        let mut rest = code;
        for &place in &one_way {
            states[place] = rest % 3;
            rest /= 3;
        }
        let size = nodes + count + 1;
        let mut matrix = DMatrix::<f64>::zeros(size, size);
        let mut side = DVector::<f64>::zeros(size);
        for (place, branch) in circuit.branches.iter().enumerate() {
            let (from, to, row) = (branch.from as usize, branch.to as usize, nodes + place);
            matrix[(from, row)] += 1.0;
            matrix[(to, row)] -= 1.0;
            let (emf, ohms, limit) = match branch.kind {
                BranchKind::Resistance(ohms) => (0.0, ohms.get(), 0.0),
                BranchKind::Source { emf, resistance, limit } => {
                    (emf.get(), resistance.get(), limit.map_or(0.0, |limit| limit.get()))
                }
                BranchKind::Diode { drop, resistance } => (-drop.get(), resistance.get(), 0.0),
                _ => unreachable!(),
            };
            if states[place] == 1 {
                matrix[(row, from)] = 1.0;
                matrix[(row, to)] = -1.0;
                matrix[(row, row)] = -ohms;
                side[row] = -emf;
            } else {
                matrix[(row, row)] = 1.0;
                side[row] = if states[place] == 2 { limit } else { 0.0 };
            }
        }
        // The short: its current is an unknown, its voltage is none. One node is the reference.
        let last = size - 1;
        matrix[(a as usize, last)] += 1.0;
        matrix[(b as usize, last)] -= 1.0;
        matrix[(last, a as usize)] = 1.0;
        matrix[(last, b as usize)] = -1.0;
        matrix.row_mut(0).fill(0.0);
        matrix[(0, 0)] = 1.0;
        side[0] = 0.0;
        let Some(found) = matrix.full_piv_lu().solve(&side) else { continue };
        let agrees = one_way.iter().all(|&place| {
            let branch = &circuit.branches[place];
            let (amps, rise) = (found[nodes + place], found[branch.to as usize] - found[branch.from as usize]);
            match (branch.kind, states[place]) {
                (BranchKind::Source { limit: Some(limit), .. }, 1) => amps >= -1e-9 && amps <= limit.get() + 1e-9,
                (BranchKind::Source { emf, .. }, 0) => rise >= emf.get() - 1e-9,
                (BranchKind::Source { emf, resistance, limit: Some(limit) }, _) => {
                    rise <= emf.get() - limit.get() * resistance.get() + 1e-9
                }
                (BranchKind::Diode { .. }, 1) => amps >= -1e-9,
                (BranchKind::Diode { drop, .. }, 0) => -rise <= drop.get() + 1e-9,
                _ => false,
            }
        });
        if agrees {
            return Some((found[last], (0..count).map(|place| found[nodes + place]).collect()));
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn shorts_agree_with_a_dense_solution(network in networks()) {
        for a in 0..network.nodes {
            for b in 0..a {
                let Some((expected, branches)) = dense(&network, (a, b)) else { continue };
                let (amps, found) = short(&network, (a, b), &[]);
                let scale = branches.iter().fold(expected.abs().max(1e-3), |most, amps| most.max(amps.abs()));
                prop_assert!((amps - expected.abs()).abs() <= 1e-6 * scale, "{a}-{b}: {amps} A, dense {expected} A");
                for (place, (found, expected)) in found.iter().zip(&branches).enumerate() {
                    if let Some(found) = found {
                        prop_assert!((found - expected).abs() <= 1e-6 * scale, "{a}-{b}, {place}: {found} A, dense {expected} A");
                    }
                }
            }
        }
    }
}
