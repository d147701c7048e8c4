//! Random networks against a dense solution of the full set of equations (modified nodal analysis, every branch current an
//! unknown), which shares nothing with the solver: it takes from the answer only which way each branch went.

mod rest;
pub(in crate::circuit) mod switched;

use super::solve;
use crate::{
    circuit::{Branch, BranchKind, Circuit, Operating},
    quantity::{Ampere, Ohm, Volt, Watt},
};
use nalgebra::{DMatrix, DVector};
use proptest::{
    prelude::*,
    test_runner::{RngSeed, TestRunner},
};

/// Resistances over seven decades.
fn ohms() -> impl Strategy<Value = Ohm> {
    (-3.0..4.0_f64).prop_map(|exponent| Ohm::new(10_f64.powf(exponent)))
}

fn source() -> impl Strategy<Value = BranchKind> {
    (1.0..50.0_f64, -3.0..0.0_f64, prop::option::weighted(0.3, 0.1..50.0_f64)).prop_map(|(emf, exponent, limit)| {
        BranchKind::Source { emf: Volt::new(emf), resistance: Ohm::new(10_f64.powf(exponent)), limit: limit.map(Ampere::new) }
    })
}

fn load() -> impl Strategy<Value = BranchKind> {
    (0.01..5.0_f64, 5.0..40.0_f64)
        .prop_map(|(amps, nominal)| BranchKind::CurrentLoad { amps: Ampere::new(amps), nominal: Volt::new(nominal) })
}

fn power() -> impl Strategy<Value = BranchKind> {
    (0.1..60.0_f64, 5.0..40.0_f64)
        .prop_map(|(watts, nominal)| BranchKind::PowerLoad { watts: Watt::new(watts), nominal: Volt::new(nominal) })
}

fn diode() -> impl Strategy<Value = BranchKind> {
    (0.2..1.0_f64, 0.001..0.1_f64)
        .prop_map(|(drop, resistance)| BranchKind::Diode { drop: Volt::new(drop), resistance: Ohm::new(resistance) })
}

/// A tree with some branches open, some loops, and elements across.
pub(in crate::circuit) fn circuits(powers: usize) -> impl Strategy<Value = Circuit> {
    (2..60_u32).prop_flat_map(move |nodes| {
        let tree = prop::collection::vec((any::<prop::sample::Index>(), ohms(), prop::bool::weighted(0.1)), nodes as usize - 1);
        let pair = || (0..nodes, 1..nodes).prop_map(move |(from, step)| (from, (from + step) % nodes));
        let extra = |most: usize, kind: BoxedStrategy<BranchKind>| prop::collection::vec((pair(), kind), 0..=most);
        let elements = (
            extra(12, ohms().prop_map(BranchKind::Resistance).boxed()),
            prop::collection::vec((pair(), source()), 1..5),
            extra(6, diode().boxed()),
            extra(15, load().boxed()),
            extra(powers, power().boxed()),
        );
        let references = prop::collection::vec(0..nodes, 0..3);
        (tree, elements, references).prop_map(move |(tree, elements, references)| {
            let mut branches = Vec::new();
            for ((parent, ohms, open), node) in tree.into_iter().zip(1_u32..) {
                let kind = if open { BranchKind::Open } else { BranchKind::Resistance(ohms) };
                branches.push(Branch { from: parent.index(node as usize) as u32, to: node, kind });
            }
            let (loops, sources, diodes, loads, powers) = elements;
            for ((from, to), kind) in [loops, sources, diodes, loads, powers].into_iter().flatten() {
                branches.push(Branch { from, to, kind });
            }
            Circuit { nodes, branches, references }
        })
    })
}

/// What a branch demands: `volts * v + amps * i = side`, with `v` from `from` to `to`.
struct Law {
    volts: f64,
    amps: f64,
    side: f64,
}

const NOTHING: Law = Law { volts: 0.0, amps: 1.0, side: 0.0 };

fn resistor(ohms: f64, side: f64) -> Law {
    Law { volts: 1.0, amps: -ohms, side }
}

/// Volts that are the rounding of an answer: an idle load with less keeps its two ends at one voltage, which nothing else may do.
const ROUNDING: f64 = 1e-10;

/// The law of a branch on the side of its characteristic that the answer is on; checks that the answer is on it.
fn law(kind: BranchKind, v: f64, i: f64, bridging: bool) -> Law {
    let drawn = |demand: f64, nominal: f64| {
        let brown_out = 0.5 * nominal / demand_at_half(kind);
        if bridging && i == 0.0 && v.abs() <= 0.01 * nominal && v.abs() > ROUNDING {
            NOTHING
        } else if bridging && i != 0.0 && v.abs() > 0.5 * nominal {
            assert!((i.abs() - demand).abs() < 1e-8 * demand, "a load with its voltage takes {i}, not {demand}");
            resistor(v / i, 0.0)
        } else if v.abs() >= 0.5 * nominal {
            Law { volts: 0.0, amps: 1.0, side: demand.copysign(v) }
        } else {
            resistor(brown_out, 0.0)
        }
    };
    match kind {
        BranchKind::Resistance(ohms) => resistor(ohms.get(), 0.0),
        BranchKind::Source { emf, limit: Some(limit), .. } if i == 0.0 && -v > emf.get() + 1e-9 => {
            assert!(limit.get() > 0.0);
            NOTHING
        }
        BranchKind::Source { emf, resistance, limit: Some(limit) } if i == limit.get() => {
            assert!(-v <= emf.get() - resistance.get() * i + 1e-7, "limits at {v} V though its own voltage would deliver less");
            Law { volts: 0.0, amps: 1.0, side: limit.get() }
        }
        BranchKind::Source { emf, resistance, limit } => {
            assert!(limit.is_none_or(|limit| i > -1e-9 && i < limit.get() * (1.0 + 1e-9)), "a limited source delivers {i}");
            resistor(resistance.get(), -emf.get())
        }
        // One that conducts but has nothing behind it carries nothing either, at its drop exactly.
        BranchKind::Diode { drop, .. } if i == 0.0 && v < drop.get() - 1e-9 => NOTHING,
        BranchKind::Diode { drop, resistance } => {
            assert!(i > -1e-9, "a diode carries {i}");
            resistor(resistance.get(), drop.get())
        }
        BranchKind::Coil { resistance, .. } | BranchKind::RelayContact { resistance, .. } => resistor(resistance.get(), 0.0),
        BranchKind::CurrentLoad { amps, nominal } => drawn(amps.get(), nominal.get()),
        BranchKind::PowerLoad { watts, nominal } => drawn(watts.get() / v.abs().max(0.5 * nominal.get()), nominal.get()),
        _ => NOTHING,
    }
}

/// Whether a branch is one that relays or converters hold open.
pub(in crate::circuit) fn is_off(circuit: &Circuit, state: &Operating, number: usize) -> bool {
    let converts = |input: usize| state.converting[input];
    match circuit.branches[number].kind {
        BranchKind::RelayContact { coil, closed_when_energised, .. } => state.energised[coil as usize] != closed_when_energised,
        BranchKind::ConverterInput { .. } => !converts(number),
        BranchKind::Source { .. } => circuit.branches.iter().enumerate().any(|(input, branch)| {
            matches!(branch.kind, BranchKind::ConverterInput { output, .. } if output as usize == number) && !converts(input)
        }),
        _ => false,
    }
}

fn demand_at_half(kind: BranchKind) -> f64 {
    match kind {
        BranchKind::CurrentLoad { amps, .. } => amps.get(),
        BranchKind::PowerLoad { watts, nominal } => 2.0 * watts.get() / nominal.get(),
        _ => f64::NAN,
    }
}

pub(in crate::circuit) fn compare(circuit: &Circuit, state: &Operating) {
    compare_within(circuit, state, 0.0);
}

/// As [`compare`], but volts and amperes may differ by `floor` besides.
pub(in crate::circuit) fn compare_within(circuit: &Circuit, state: &Operating, floor: f64) {
    assert!(state.residual < 1e-9, "residual {}", state.residual);
    let (nodes, count) = (circuit.nodes as usize, circuit.branches.len());
    let mut matrix = DMatrix::<f64>::zeros(nodes + count, nodes + count);
    let mut side = DVector::<f64>::zeros(nodes + count);
    let mut grounded = vec![false; nodes];
    let mut roots = Vec::new();
    for node in circuit.references.iter().copied().chain(0..circuit.nodes) {
        let island = state.island[node as usize] as usize;
        if !grounded[island] {
            grounded[island] = true;
            roots.push(node as usize);
        }
    }
    for (number, branch) in circuit.branches.iter().enumerate() {
        let (from, to, row) = (branch.from as usize, branch.to as usize, nodes + number);
        let (v, i) = (state.volts[from].get() - state.volts[to].get(), state.amps[number].get());
        let asleep = !state.live[from] || state.island[from] != state.island[to];
        let law = if asleep || is_off(circuit, state, number) {
            NOTHING
        } else if let BranchKind::ConverterInput { output, efficiency, .. } = branch.kind {
            let out = &circuit.branches[output as usize];
            let rise = state.volts[out.to as usize].get() - state.volts[out.from as usize].get();
            let watts = (rise * state.amps[output as usize].get()).max(0.0) / efficiency.get();
            Law { volts: 0.0, amps: 1.0, side: watts / v }
        } else {
            law(branch.kind, v, i, state.no_return.contains(&(number as u32)))
        };
        matrix[(from, row)] += 1.0;
        matrix[(to, row)] -= 1.0;
        matrix[(row, from)] += law.volts;
        matrix[(row, to)] -= law.volts;
        matrix[(row, row)] += law.amps;
        side[row] = law.side;
    }
    for node in 0..nodes {
        if roots.contains(&node) || !state.live[node] {
            matrix.row_mut(node).fill(0.0);
            matrix[(node, node)] = 1.0;
        }
    }
    let exact = matrix.clone().lu().solve(&side).expect("the reference has a solution");
    // One step of refinement, so that the reference is not the less exact of the two.
    let exact = &exact + matrix.clone().lu().solve(&(&side - &matrix * &exact)).expect("the reference has a solution");
    let most_volts = exact.rows(0, nodes).amax();
    for (node, volts) in state.volts.iter().enumerate() {
        assert!(
            (volts.get() - exact[node]).abs() <= 1e-8 * most_volts + floor,
            "node {node}: {volts:?}, reference {}",
            exact[node]
        );
    }
    let mut most = vec![0.0_f64; nodes];
    let mut sums = vec![0.0_f64; nodes];
    for (branch, amps) in circuit.branches.iter().zip(&state.amps) {
        let island = state.island[branch.from as usize] as usize;
        most[island] = most[island].max(amps.get().abs());
        sums[branch.from as usize] -= amps.get();
        sums[branch.to as usize] += amps.get();
    }
    for (number, (branch, amps)) in circuit.branches.iter().zip(&state.amps).enumerate() {
        let (found, exact) = (amps.get(), exact[nodes + number]);
        let most = most[state.island[branch.from as usize] as usize];
        // Below a picoampere the reference shows its own rounding.
        assert!(
            (found - exact).abs() <= 1e-8 * most + 1e-12 + floor,
            "branch {number}: {found} A, reference {exact} A, largest {most} A"
        );
    }
    for (node, sum) in sums.iter().enumerate() {
        assert!(sum.abs() <= 1e-9 * most[state.island[node] as usize] + floor, "node {node} keeps {sum} A");
    }
}

/// Seeds of an everyday run; `PROPTEST_RNG_SEED` gives another.
const EVERYDAY: [u64; 2] = [77, 20_270];
/// Seeds of a full run, `HARNESS_TESTS=full`.
const FULL: [u64; 8] = [77, 20_270, 1, 2, 3, 5, 8, 13];

/// Tries networks of every seed, `PROPTEST_CASES` of each, or one `share`-th of the usual number where that is not set.
pub(in crate::circuit) fn try_all<T: std::fmt::Debug>(networks: &impl Strategy<Value = T>, share: u32, test: impl Fn(&T)) {
    let own = std::env::var("HARNESS_SEED").ok().and_then(|seed| seed.parse().ok());
    let is_full = std::env::var("HARNESS_TESTS").is_ok_and(|tier| tier == "full");
    let seeds = own.map_or_else(|| if is_full { FULL.to_vec() } else { EVERYDAY.to_vec() }, |seed| vec![seed]);
    for seed in seeds {
        let usual = ProptestConfig::default();
        let cases = if std::env::var_os("PROPTEST_CASES").is_some() { usual.cases } else { usual.cases / share };
        let config = ProptestConfig { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(seed), ..usual };
        let outcome = TestRunner::new(config).run(networks, |network| {
            test(&network);
            Ok(())
        });
        if let Err(error) = outcome {
            panic!("seed {seed}: {error}");
        }
    }
}

/// A network of these elements always has a state of rest, and it must be found.
#[test]
fn random_networks_agree_with_dense_analysis() {
    try_all(&circuits(0), 1, |circuit| {
        let state = solve(circuit);
        assert_eq!((state.unsettled.as_slice(), state.refused.as_slice()), (&[][..], &[][..]));
        compare(circuit, &state);
    });
}

/// So has one with loads of constant power, because they are resistances below half their voltage.
#[test]
fn random_networks_with_constant_power_agree() {
    try_all(&circuits(4), 1, |circuit| {
        let state = solve(circuit);
        assert!(state.unsettled.is_empty());
        compare(circuit, &state);
    });
}
