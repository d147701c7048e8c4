//! Random circuits with random alterations against dense analysis of the altered circuit, and against a search of it from the start.

use super::{Alteration, Base, Known};
use crate::{
    circuit::{
        Branch, BranchKind, Circuit, Operating,
        solve::{
            reference::{circuits, compare_within, switched, try_all},
            solve, solve_from,
        },
    },
    quantity::{Ampere, Ohm, Ratio, Volt, Watt},
};
use proptest::prelude::*;
use std::cell::Cell;

/// Volts and amperes that count as none: a thousandth of what the library promises.
const FLOOR: f64 = 1e-9;

/// An alteration by numbers that any circuit has room for.
fn alterations() -> impl Strategy<Value = Vec<(u8, prop::sample::Index, prop::sample::Index, f64)>> {
    prop::collection::vec((0..6_u8, any::<prop::sample::Index>(), any::<prop::sample::Index>(), -3.0..2.0_f64), 1..4)
}

fn alteration(
    circuit: &Circuit,
    (sort, one, other, exponent): &(u8, prop::sample::Index, prop::sample::Index, f64),
) -> Alteration {
    let branch = one.index(circuit.branches.len()) as u32;
    let ohms = Ohm::new(10_f64.powf(*exponent));
    match sort {
        0 | 1 => Alteration::Becomes { branch, kind: BranchKind::Open },
        2 => {
            let metal = circuit.branches.iter().position(|branch| matches!(branch.kind, BranchKind::Resistance(_)));
            Alteration::Becomes { branch: metal.unwrap_or_default() as u32, kind: BranchKind::Resistance(ohms) }
        }
        3 => match circuit.branches.iter().position(|branch| matches!(branch.kind, BranchKind::RelayContact { .. })) {
            Some(contact) => Alteration::Becomes { branch: contact as u32, kind: BranchKind::Resistance(ohms) },
            None => Alteration::Becomes { branch, kind: BranchKind::Open },
        },
        _ => {
            let (from, to) = (one.index(circuit.nodes as usize) as u32, other.index(circuit.nodes as usize) as u32);
            Alteration::Joins { from, to, kind: BranchKind::Resistance(ohms) }
        }
    }
}

/// The circuit with the alterations made in it.
fn edited(circuit: &Circuit, alterations: &[Alteration]) -> Circuit {
    let mut circuit = circuit.clone();
    for alteration in alterations {
        match *alteration {
            Alteration::Becomes { branch, kind } => {
                if let BranchKind::ConverterInput { output, .. } = circuit.branches[branch as usize].kind {
                    circuit.branches[output as usize].kind = BranchKind::Open;
                }
                circuit.branches[branch as usize].kind = kind;
            }
            Alteration::Joins { from, to, kind } if from != to => circuit.branches.push(Branch { from, to, kind }),
            Alteration::Joins { .. } => {}
        }
    }
    circuit
}

/// What the library says of the altered circuit, in the numbers of the edited one.
fn found(base: &Base, edited: &Circuit, alterations: &[Alteration]) -> Operating {
    let altered = base.with(alterations);
    let nodes = 0..edited.nodes;
    let own = base.branches.len() as u32;
    let mut joins = altered.amps_of_joins();
    let numbers = 0..edited.branches.len() as u32;
    let amps = numbers.clone().map(|branch| if branch < own { altered.amps(branch) } else { joins.next().expect("a current") });
    let amps: Vec<Ampere> = amps.collect();
    let is_coil = |branch: u32| matches!(edited.branches[branch as usize].kind, BranchKind::Coil { .. });
    let mut islands: Vec<u32> = Vec::new();
    let island = nodes.clone().map(|node| {
        let known = islands.iter().position(|first| altered.are_joined(*first, node));
        known.unwrap_or_else(|| {
            islands.push(node);
            islands.len() - 1
        }) as u32
    });
    let island: Vec<u32> = island.collect();
    Operating {
        volts: nodes.clone().map(|node| altered.volts(node)).collect(),
        amps,
        live: nodes.map(|node| altered.is_live(node)).collect(),
        energised: numbers.clone().map(|branch| is_coil(branch) && altered.is_on(branch)).collect(),
        converting: numbers.map(|branch| !is_coil(branch) && altered.is_on(branch)).collect(),
        island,
        unsettled: altered.unsettled(),
        ..Operating::default()
    }
}

/// Whether all voltages of two states are one, and which are furthest apart.
fn are_same(one: &Operating, other: &Operating) -> Result<(), String> {
    let most = one.volts.iter().fold(0.0, |most: f64, volts| most.max(volts.get().abs()));
    for (node, (a, b)) in one.volts.iter().zip(&other.volts).enumerate() {
        if (*a - *b).get().abs() > 1e-6 * most.max(1.0) {
            return Err(format!("node {node}: {a:?} and {b:?}"));
        }
    }
    Ok(())
}

fn check(circuit: &Circuit, drawn: &[(u8, prop::sample::Index, prop::sample::Index, f64)], seen: &Cell<(u32, u32, u32)>) {
    let state = solve(circuit);
    if !state.unsettled.is_empty() || circuit.branches.is_empty() {
        return;
    }
    let energised: Vec<u32> = (0..).zip(&state.energised).filter(|(_, on)| **on).map(|(coil, _)| coil).collect();
    let known = Known { amps: &state.amps, energised: &energised, runs: &state.converting };
    let base = Base::new(circuit, known, std::iter::empty());
    let alterations: Vec<Alteration> = drawn.iter().map(|drawn| alteration(circuit, drawn)).collect();
    let edited = edited(circuit, &alterations);
    if !(0..circuit.nodes).all(|node| base.is_known(node)) {
        // The state of rest at hand is one of several, and another was found.
        let (tried, unknown, other) = seen.get();
        seen.set((tried, unknown + 1, other));
        return;
    }
    let mut altered = found(&base, &edited, &alterations);
    let (tried, unknown, other) = seen.get();
    seen.set((tried + 1, unknown, other));
    if !altered.unsettled.is_empty() {
        seen.set((tried + 1, unknown, other + 1));
        return;
    }
    // From the start, in the state of the relays that was found.
    let energised: Vec<u32> = (0..).zip(&altered.energised).filter(|(_, on)| **on).map(|(coil, _)| coil).collect();
    let anew = solve_from(&edited, &energised);
    if anew.unsettled.is_empty() && anew.energised == altered.energised && anew.converting == altered.converting {
        if let Err(what) = are_same(&altered, &anew) {
            // A load of constant power, or one that only loads join to the rest, may have two states of rest: both must be one.
            let has_several = edited
                .branches
                .iter()
                .any(|branch| matches!(branch.kind, BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. }));
            // Of two islands that only a diode without current joins nobody knows how far apart they are.
            let most = anew.amps.iter().fold(0.0, |most: f64, amps| most.max(amps.get().abs()));
            let same_flow = altered.amps.iter().zip(&anew.amps).all(|(a, b)| (*a - *b).get().abs() <= 1e-6 * most + FLOOR);
            let is_one = has_several || same_flow || !bridging(&edited, &altered).is_empty();
            assert!(is_one, "{what} after {alterations:?} in {circuit:?}");
        }
    } else {
        seen.set((tried + 1, unknown, other + 1));
    }
    let bridging = bridging(&edited, &altered);
    altered.no_return = bridging;
    compare_within(&edited, &altered, FLOOR);
}

/// Loads whose terminals no conducting branch other than a load joins.
fn bridging(circuit: &Circuit, state: &Operating) -> Vec<u32> {
    let mut sets: Vec<usize> = (0..circuit.nodes as usize).collect();
    fn find(sets: &mut [usize], node: usize) -> usize {
        let mut at = node;
        while sets[at] != at {
            sets[at] = sets[sets[at]];
            at = sets[at];
        }
        at
    }
    let off: Vec<bool> =
        (0..circuit.branches.len()).map(|branch| crate::circuit::solve::reference::is_off(circuit, state, branch)).collect();
    for (number, branch) in circuit.branches.iter().enumerate() {
        let joins = match branch.kind {
            BranchKind::Resistance(_) | BranchKind::Coil { .. } => true,
            BranchKind::RelayContact { .. } => !off[number],
            BranchKind::Source { limit, .. } => {
                !off[number] && limit.is_none_or(|limit| state.amps[number] > Ampere::ZERO && state.amps[number] != limit)
            }
            BranchKind::Diode { .. } => state.amps[number] > Ampere::ZERO,
            _ => false,
        };
        if joins {
            let (a, b) = (find(&mut sets, branch.from as usize), find(&mut sets, branch.to as usize));
            sets[a] = b;
        }
    }
    let is_load = |kind: BranchKind| matches!(kind, BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. });
    (0..circuit.branches.len() as u32)
        .filter(|number| {
            let branch = &circuit.branches[*number as usize];
            is_load(branch.kind) && find(&mut sets, branch.from as usize) != find(&mut sets, branch.to as usize)
        })
        .collect()
}

#[test]
fn altered_networks_agree_with_dense_analysis() {
    let seen = Cell::new((0, 0, 0));
    for powers in [0, 4] {
        let drawn = (circuits(powers), alterations());
        try_all(&drawn, 1, |(circuit, drawn)| check(circuit, drawn, &seen));
    }
    let (tried, unknown, other) = seen.get();
    assert!(
        tried > 300 && unknown * 50 < tried && other * 50 < tried,
        "{tried} tried, {unknown} unknown, {other} of another state"
    );
}

#[test]
fn altered_networks_with_relays_and_converters_agree() {
    let seen = Cell::new((0, 0, 0));
    let drawn = (switched::networks(1, 2), alterations());
    try_all(&drawn, 1, |(circuit, drawn)| check(circuit, drawn, &seen));
    let (tried, unknown, other) = seen.get();
    assert!(
        tried > 200 && unknown * 10 < tried && other * 5 < tried,
        "{tried} tried, {unknown} unknown, {other} of another state"
    );
}

/// Two batteries of 12 V with 10 mohm feed a lamp of 4 ohm through a wire of 0.1 ohm each: by hand, with the first wire open 12 V over
/// 4.11 ohm gives 2.9197 A and 11.679 V at the lamp.
#[test]
fn a_wire_of_two_opens() {
    let branch = |from, to, kind| Branch { from, to, kind };
    let source = BranchKind::Source { emf: Volt::new(12.0), resistance: Ohm::new(0.01), limit: None };
    let metal = |ohms| BranchKind::Resistance(Ohm::new(ohms));
    let branches = vec![
        branch(0, 1, source),
        branch(0, 2, source),
        branch(1, 3, metal(0.1)),
        branch(2, 3, metal(0.1)),
        branch(3, 0, metal(4.0)),
    ];
    let circuit = Circuit { nodes: 4, branches, references: vec![0] };
    let state = solve(&circuit);
    let base = Base::new(&circuit, Known { amps: &state.amps, energised: &[], runs: &state.converting }, std::iter::empty());
    let open = base.with(&[Alteration::Becomes { branch: 2, kind: BranchKind::Open }]);
    assert!((open.amps(4).get() - 2.919_708).abs() < 1e-6 && (open.volts(3).get() - 11.678_832).abs() < 1e-6);
    assert!(open.amps(2) == Ampere::ZERO && (open.volts(1).get() - 12.0).abs() < 1e-12);
    // A bridge past the lamp: 12 V over 0.055 ohm and 1 mohm, 214.3 A in all, half of it in each wire, all but 0.05 A in the bridge.
    let short = base.with(&[Alteration::Joins { from: 3, to: 0, kind: BranchKind::Resistance(Ohm::new(0.001)) }]);
    assert!((short.amps(2).get() - 107.143_335).abs() < 1e-4, "{:?}", short.amps(2));
    assert!(short.amps_of_joins().eq([short.amps_of_joins().next().expect("one bridge")]));
}

/// A converter feeds 5 ohm with 10 V from 20 V. With its output opened, or its voltage halved, by hand: nothing flows in, and
/// 5 V over 5.01 ohm are 0.998 A and 4.98 W, of which 90 % efficiency makes 5.53 W and 0.277 A at 20 V.
#[test]
fn the_output_of_a_converter_is_altered() {
    let branch = |from, to, kind| Branch { from, to, kind };
    let source = |emf| BranchKind::Source { emf: Volt::new(emf), resistance: Ohm::new(0.01), limit: None };
    let input = BranchKind::ConverterInput { output: 2, efficiency: Ratio::new(0.9), nominal: Volt::new(20.0) };
    let branches = vec![
        branch(0, 1, source(20.0)),
        branch(1, 0, input),
        branch(0, 2, source(10.0)),
        branch(2, 0, BranchKind::Resistance(Ohm::new(5.0))),
    ];
    let circuit = Circuit { nodes: 3, branches, references: vec![0] };
    let state = solve(&circuit);
    let base = Base::new(&circuit, Known { amps: &state.amps, energised: &[], runs: &state.converting }, std::iter::empty());
    assert!(base.is_on(1) && base.amps(3).get() > 1.9);
    let open = base.with(&[Alteration::Becomes { branch: 2, kind: BranchKind::Open }]);
    assert!(open.amps(1) == Ampere::ZERO && !open.is_on(1) && open.amps(0).get().abs() < 1e-9, "{:?}", open.amps(0));
    let half = base.with(&[Alteration::Becomes { branch: 2, kind: source(5.0) }]);
    let watts = 5.0 * 5.0 / 5.01 / 5.01 * 5.0;
    assert!((half.amps(3).get() - 5.0 / 5.01).abs() < 1e-6 && half.is_on(1));
    assert!((half.amps(1).get() * half.volts(1).get() - watts / 0.9).abs() < 1e-6, "{:?}", half.amps(1));
}

/// A charger of 14.2 V and 3.4 A and a battery feed a load of 43 W, which takes 3.05 A at 14.15 V from the charger alone: that is what
/// remains when the battery is disconnected, and not the 2.8 V at which the load keeps the charger at its limit. Another source that
/// is short-circuited, and stays so, makes no difference.
#[test]
fn a_source_that_stays_down_leaves_others_up() {
    let branch = |from, to, kind| Branch { from, to, kind };
    let source = |emf, limit: Option<f64>| BranchKind::Source {
        emf: Volt::new(emf),
        resistance: Ohm::new(0.015),
        limit: limit.map(Ampere::new),
    };
    let metal = |ohms| BranchKind::Resistance(Ohm::new(ohms));
    let branches = vec![
        branch(0, 1, source(14.2, Some(3.4))),
        branch(0, 2, source(12.9, None)),
        branch(1, 2, metal(0.01)),
        branch(1, 0, BranchKind::PowerLoad { watts: Watt::new(43.24), nominal: Volt::new(12.0) }),
        branch(0, 3, source(24.0, Some(2.0))),
        branch(3, 0, metal(1.0)),
    ];
    let circuit = Circuit { nodes: 4, branches, references: vec![0] };
    let state = solve(&circuit);
    let near = std::iter::once((1, 3));
    let base = Base::new(&circuit, Known { amps: &state.amps, energised: &[], runs: &state.converting }, near);
    let alone = base.with(&[Alteration::Becomes { branch: 2, kind: BranchKind::Open }]);
    let amps = (14.2 - (14.2_f64 * 14.2 - 4.0 * 0.015 * 43.24).sqrt()) / 2.0 / 0.015;
    assert!((alone.amps(0).get() - amps).abs() < 1e-6 && alone.volts(1).get() > 14.0, "{:?}", alone.volts(1));
    assert!((alone.volts(3).get() - 2.0).abs() < 1e-9);
}
