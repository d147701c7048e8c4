//! What a meter shows at each step of bringing a vehicle to life, against the simulator.

use super::{deck::Deck, run, wiring};
use harness_core::{
    Analysis, Design,
    bench::going_live::{Expected, Place, Planned, Target, later_plan, plan},
    internals::{
        circuit::{Circuit, solve},
        electrical::{altered::Rest, what_if::Change},
        network::EdgeId,
    },
};
use harness_tests::{corpus::place, fixtures};
use std::collections::BTreeSet;

/// The circuit of a mode with everything that hands keep open open in it.
fn circuit(rests: &[Rest<'_>], step: &Planned, open: &BTreeSet<EdgeId>) -> Circuit {
    let rest = rests.iter().find(|rest| rest.state.id == step.mode && rest.after.is_none()).expect("the mode was computed");
    let mut circuit = rest.circuit().clone();
    for edge in open {
        if let Some(alteration) = Change::Open(*edge).in_circuit(&circuit) {
            alteration.make(&mut circuit);
        }
    }
    circuit
}

/// Compares every reading of a plan with what the simulator finds in a circuit solved anew; gives how many there were.
fn compare(name: &str, analysis: &Analysis, plan: &[Planned]) -> usize {
    let rests = analysis.electrical().rests(&[]);
    let mut decks = Vec::new();
    let mut asked = Vec::new();
    for (number, step) in plan.iter().enumerate() {
        for before in [true, false] {
            let reads: Vec<_> = step.reads.iter().filter(|read| read.before == before).collect();
            if reads.is_empty() {
                continue;
            }
            let circuit = circuit(&rests, step, &if before { (*step.before).clone() } else { step.seen() });
            let state = solve::solve(&circuit);
            assert!(state.unsettled.is_empty(), "{name}, step {}: not settled", number + 1);
            let volts: Vec<f64> = state.volts.iter().map(|volts| volts.get()).collect();
            decks.push(Deck::new(format!("{name}, step {}", number + 1), wiring::of_state(&circuit, &state), &volts));
            asked.push((state.island, reads));
        }
    }
    let Some(figures) = run::run(&decks, "steps of bringing a vehicle to life") else { return 0 };
    let (mut compared, mut worst) = (0, 0.0_f64);
    for ((deck, figures), (islands, reads)) in decks.iter().zip(&figures).zip(&asked) {
        for read in reads {
            let (ours, theirs) = match (read.place, read.expected) {
                (Place::Between(one, other), Expected::Volts(volts, ..)) => {
                    let (one, other) = (one.index(), other.index());
                    let joined = islands[one] == islands[other];
                    (volts.get(), if joined { figures.volts[one] - figures.volts[other] } else { 0.0 })
                }
                (Place::In(edge, _), Expected::Amps(amps, ..)) => (amps.get(), figures.amps[edge.index()].abs()),
                (place, expected) => panic!("{}: {expected:?} at {place:?}", deck.name),
            };
            let off = (ours - theirs).abs();
            assert!(off <= 2e-5 + 1e-6 * theirs.abs(), "{}: {:?} is {ours}, the simulator finds {theirs}", deck.name, read.place);
            (compared, worst) = (compared + 1, worst.max(off));
        }
    }
    println!("{name}: {compared} readings of {} states, largest difference {worst:.1e}", decks.len());
    compared
}

#[test]
fn readings_of_every_step_are_those_of_the_simulator() {
    // Of the largest design one step in four.
    for (file, least, share) in
        [("terrace-tractor/tractor.yaml", 150, 1), ("boat-12v/boat.yaml", 40, 1), ("hut-truck/truck.yaml", 50, 4)]
    {
        let (folder, root) = place(&fixtures().join(file));
        let analysis = Analysis::of_all(&Design::load(&folder, &root));
        let some = |plan: Vec<Planned>| -> Vec<Planned> { plan.into_iter().step_by(share).collect() };
        let first = some(plan(&analysis));
        let readings: usize = first.iter().map(|step| step.reads.len()).sum();
        assert!(readings >= least, "{file}: {readings} readings");
        compare(file, &analysis, &first);
        compare(&format!("{file}, later work"), &analysis, &some(later_plan(&analysis, &Target::Vehicle)));
    }
}
