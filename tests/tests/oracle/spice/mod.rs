//! What flows, against a circuit simulator that nobody here wrote.
//!
//! Each circuit goes there in the state that was found for it: which diodes conduct, which contacts are closed, which sources
//! are at their limit, which loads starve. The simulator computes the voltages and currents of that state, and the tests ask
//! whether they are ours, and whether the state is the one that these voltages and currents call for.

mod agree;
mod deck;
pub(super) mod designs;
mod going_live;
mod ring_out;
mod run;
mod wiring;

use super::dense::{library, networks, short};
use deck::Deck;
use harness_core::{
    Design, Files, MemoryFiles,
    internals::{
        circuit::{
            BranchKind, Circuit, Operating,
            ports::Shorts,
            solve::{self, Solver},
        },
        electrical,
    },
    quantity::Ohm,
};
use harness_tests::{
    corpus::{generator, place},
    fixtures,
};

/// A mode of a design, with what was found for it.
struct Solved {
    name: String,
    circuit: Circuit,
    state: Operating,
}

fn modes(name: &str, files: &dyn Files, root: &str) -> Vec<Solved> {
    let design = Design::load(files, root);
    let model = design.model();
    let ids: Vec<_> = model.modes().map(|(id, _)| id).collect();
    let circuits = electrical::circuits(design.network(), &ids);
    let solved = ids.iter().zip(circuits).map(|(id, circuit)| {
        let state = solve::solve(&circuit);
        Solved { name: format!("{name}, mode {}", model.mode_name(*id)), circuit, state }
    });
    solved.collect()
}

fn on_disk(file: &str) -> Vec<Solved> {
    let (folder, root) = place(&fixtures().join(file));
    modes(file, &folder, &root)
}

fn text(name: &str, netlist: &str) -> Vec<Solved> {
    modes(name, &MemoryFiles::one("design.yaml", netlist), "design.yaml")
}

/// The same modes with conductors of another resistance, found by going on from where the search ended, as a mode is computed
/// while its conductors get warm.
fn warmer(solved: &[Solved]) -> Vec<Solved> {
    let warm = solved.iter().map(|Solved { name, circuit, .. }| {
        let mut solver = Solver::new(circuit, &[]);
        solver.run();
        let mut warm = circuit.clone();
        for (number, branch) in (0..).zip(&mut warm.branches) {
            if let (BranchKind::Resistance(ohms), true) = (&mut branch.kind, number % 3 != 0) {
                *ohms = Ohm::new(ohms.get() * 1.3);
                solver.retune(number, *ohms);
            }
        }
        solver.run();
        Solved { name: format!("{name}, warm"), circuit: warm, state: solver.operating() }
    });
    warm.collect()
}

/// Compares all of `solved`; gives how many of them the simulator computed.
fn compare(solved: &[Solved], what: &str) -> usize {
    let decks = solved.iter().map(|Solved { name, circuit, state }| {
        let volts: Vec<f64> = state.volts.iter().map(|volts| volts.get()).collect();
        Deck::new(name.clone(), wiring::of_state(circuit, state), &volts)
    });
    let decks: Vec<Deck> = decks.collect();
    let Some(figures) = run::run(&decks, what) else { return 0 };
    let mut worst = 0.0_f64;
    for ((solved, deck), figures) in solved.iter().zip(&decks).zip(&figures) {
        let (volts, amps) = (&solved.state.volts, &solved.state.amps);
        let ours = deck::Figures {
            volts: volts.iter().map(|volts| volts.get()).collect(),
            amps: amps.iter().map(|amps| amps.get()).collect(),
        };
        worst = worst.max(agree::agree(deck, &ours, figures, 0.0));
        agree::called_for(&solved.name, &solved.circuit, &solved.state, deck, figures);
    }
    println!("{} {what}, largest difference {worst:.1e}", decks.len());
    decks.len()
}

#[test]
fn the_demo_and_the_mended_draft_agree_in_every_mode() {
    let mut solved = on_disk("terrace-tractor/tractor.yaml");
    solved.extend(on_disk("terrace-tractor-draft/mended.yaml"));
    for mode in &solved {
        assert!(mode.state.unsettled.is_empty() && mode.state.refused.is_empty(), "{} is not settled", mode.name);
        let most = mode.state.amps.iter().fold(0.0_f64, |most, amps| most.max(amps.get().abs()));
        println!("{}: {} branches, up to {most:.1} A", mode.name, mode.circuit.branches.len());
    }
    assert_eq!(solved.len(), 6);
    compare(&solved, "modes of the demo and the fixed draft");
}

#[test]
fn random_designs_agree_in_every_mode() {
    let mut solved = Vec::new();
    for seed in 0..40 {
        solved.extend(text(&format!("random design {seed}"), &designs::design(seed)));
    }
    for seed in 0..4 {
        solved.extend(text(&format!("generated design {seed}"), &generator::design(60, seed)));
    }
    solved.extend(warmer(&solved[..30]));
    let all = solved.len();
    // A relay that opens its own supply and a load that has no state have nothing to compare.
    solved.retain(|mode| mode.state.unsettled.is_empty());
    println!("{all} modes, {} of them settled", solved.len());
    assert!(solved.iter().all(|mode| mode.state.refused.is_empty()));
    assert!(solved.len() * 10 >= all * 9, "only {} of {all} modes are settled", solved.len());
    agree::has_everything(&solved.iter().map(|mode| (&mode.circuit, &mode.state)).collect::<Vec<_>>());
    compare(&solved, "modes of random designs");
}

/// A network and two points of it.
struct Fault {
    name: String,
    network: Circuit,
    pair: (u32, u32),
}

/// Shorts of random networks, and of random designs and the draft in their modes.
fn faults() -> Vec<Fault> {
    let mut faults = Vec::new();
    for seed in 100..150 {
        let network = networks::network(seed, 30);
        let pair = (1 + seed as u32 % 29, 0);
        faults.push(Fault { name: format!("random network {seed}, short {pair:?}"), network, pair });
    }
    let mut modes = on_disk("terrace-tractor-draft/mended.yaml");
    for seed in 0..6 {
        modes.extend(text(&format!("random design {seed}"), &designs::design(seed)));
    }
    modes.retain(|mode| mode.state.unsettled.is_empty());
    for Solved { name, circuit, state } in &modes {
        let network = networks::frozen(circuit, state);
        let zero = network.references[0];
        // Points that hang together with the reference, or the short is none.
        let shorts = Shorts::new(&network);
        let joined: Vec<u32> = (0..network.nodes).filter(|node| *node != zero && shorts.joined(*node, zero)).collect();
        for part in 1..=3 {
            let Some(node) = joined.get(joined.len() * part / 4) else { continue };
            let pair = (*node, zero);
            faults.push(Fault { name: format!("{name}, short {pair:?}"), network: network.clone(), pair });
        }
    }
    faults
}

#[test]
fn shorts_agree() {
    let faults = faults();
    let exact: Vec<short::Shorted> = faults.iter().map(|fault| short::short(&fault.network, Some(fault.pair))).collect();
    let decks = faults.iter().zip(&exact).map(|(fault, exact)| {
        let wiring = wiring::of_short(&fault.network, exact, fault.pair);
        Deck::new(fault.name.clone(), wiring, &[])
    });
    let decks: Vec<Deck> = decks.collect();
    let Some(figures) = run::run(&decks, "shorts") else { return };
    let (mut worst, mut flowing) = (0.0_f64, 0);
    for (((fault, exact), deck), figures) in faults.iter().zip(&exact).zip(&decks).zip(&figures) {
        // The short is the last branch. The library gives the current alone, the reference its direction too.
        let with_short = |branches: &[f64], amps: f64| branches.iter().copied().chain([amps]).collect();
        let reference = deck::Figures { volts: deck.against_zeros(&exact.volts), amps: with_short(&exact.branches, exact.amps) };
        worst = worst.max(agree::agree(deck, &reference, figures, 1e-9));
        let rest = short::short(&fault.network, None).branches;
        let (amps, branches) = library::found(&mut Shorts::new(&fault.network), fault.pair, &rest);
        flowing += u32::from(amps > 1e-3);
        let library = deck::Figures { volts: reference.volts, amps: with_short(&branches, amps.copysign(exact.amps)) };
        worst = worst.max(agree::agree(deck, &library, figures, 1e-9));
    }
    println!("{} shorts, {flowing} of them with current, largest difference {worst:.1e}", faults.len());
    assert!(flowing >= 50, "only {flowing} shorts carry anything");
}
