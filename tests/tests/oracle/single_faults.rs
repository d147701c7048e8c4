//! What follows from single faults, found from a state of rest by small updates, against a search of each altered circuit from the start,
//! and against a design that was really edited.

use super::spice::designs;
use harness_core::{
    Analysis, Design, MemoryFiles,
    internals::{
        circuit::{
            Branch, BranchKind, Circuit,
            altered::{Alteration, Base, Known},
            solve::{solve, solve_from},
        },
        electrical::{self, altered::Rest, single_faults::Fault, what_if::Change},
        model::PointId,
        network::{EdgeId, EdgeRole},
    },
    quantity::{Ampere, Ohm, Volt},
};
use harness_tests::{
    corpus::{checked_files, side_by_side},
    tier,
};
use std::collections::BTreeMap;

/// Share of the highest voltage of the state, or of a volt, by which a point may be off.
const SAME: f64 = 1e-6;
/// Current that counts as none.
const NO_AMPS: f64 = 1e-9;
#[derive(Debug, Default)]
struct Tally {
    compared: usize,
    /// The search from the start ends in another state, or in none: other relays or converters are on, or of loads that only loads join to
    /// the rest, and that have next to no voltage, others let something through.
    other: usize,
    /// Points whose voltage was compared: all that something conducting joins to a source.
    points: usize,
    /// What differs.
    failures: Vec<String>,
}

/// What a fault is to the circuit, in the state at hand.
fn change(rest: &Rest<'_>, fault: Fault) -> Change {
    match fault {
        Fault::Open(edge) | Fault::Blown(edge) => Change::Open(edge),
        Fault::Stuck(edge) => rest.coil_of(edge).filter(|_| edge.index() % 2 == 0).map_or(Change::Open(edge), Change::Released),
        Fault::Bridged(one, other) => Change::Joined(one, other, Ohm::new(1e-3)),
        Fault::Raised(edge) => Change::Raised(edge, Ohm::new(0.5)),
        Fault::Welded(edge) => Change::Closed(edge),
    }
}

fn flows(amps: Ampere) -> bool {
    amps.get().abs() > NO_AMPS
}

fn compare(name: &str, analysis: &Analysis, every: usize, tally: &mut Tally) {
    let electrical = analysis.electrical();
    let network = analysis.network();
    let faults = electrical.single_faults();
    let bridges = faults.iter().filter_map(|fault| match fault {
        Fault::Bridged(one, other) => Some((*one, *other)),
        _ => None,
    });
    let near: Vec<_> = bridges.collect();
    for rest in electrical.rests(&near) {
        for (place, fault) in faults.iter().enumerate().filter(|(place, _)| place % every == 0) {
            // Two faults at once now and then: what the library is asked for is any set of changes.
            let second = faults.get((place * 7 + 3) % faults.len()).filter(|_| place % 5 == 0);
            let changes: Vec<Change> = [Some(fault), second].into_iter().flatten().map(|fault| change(&rest, *fault)).collect();
            let after = rest.with(&changes);
            if !after.is_settled() {
                tally.other += 1;
                continue;
            }
            let mut circuit = rest.circuit().clone();
            for alteration in changes.iter().filter_map(|change| change.in_circuit(rest.circuit())) {
                alteration.make(&mut circuit);
            }
            let on: Vec<u32> = network
                .edges()
                .filter(|(id, edge)| edge.role == EdgeRole::Coil && after.is_on(*id))
                .map(|(id, _)| id.index() as u32)
                .collect();
            let anew = solve_from(&circuit, &on);
            let same = |id: EdgeId| match circuit.branches[id.index()].kind {
                BranchKind::Coil { .. } => anew.energised[id.index()] == after.is_on(id),
                BranchKind::ConverterInput { .. } => anew.converting[id.index()] == after.is_on(id),
                BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } => {
                    let (anew, after) = (anew.amps[id.index()], after.amps(id));
                    flows(anew) == flows(after)
                }
                _ => true,
            };
            if !anew.unsettled.is_empty() || !network.edges().all(|(id, _)| same(id)) {
                tally.other += 1;
                continue;
            }
            tally.compared += 1;
            let by_updates = joined_to_sources(
                &circuit,
                |node| after.volts(PointId::from_index(node as usize)).get(),
                |branch| after.amps(EdgeId::from_index(branch as usize)),
            );
            let by_search =
                joined_to_sources(&circuit, |node| anew.volts[node as usize].get(), |branch| anew.amps[branch as usize]);
            let mode = analysis.model().mode_name(rest.state.id);
            let highest = anew.volts.iter().map(|volts| volts.get().abs()).fold(1.0, f64::max);
            for (point, volts) in (0..).zip(anew.volts.iter().take(network.point_count())) {
                let node = point;
                let point = PointId::from_index(point);
                let root = by_search[node];
                // Against another point of what is joined: nobody knows how far that is above what only an idle load leads to.
                let (found, volts) = match root {
                    Some(root) => {
                        ((after.volts(point) - after.volts(PointId::from_index(root))).get(), (*volts - anew.volts[root]).get())
                    }
                    None => (after.volts(point).get(), volts.get()),
                };
                let is_joined = root.is_some();
                // What nothing joins to a source has no voltage that anybody knows; that it is so is known.
                let differs = by_updates[node].is_some() != is_joined || (found - volts).abs() > SAME * highest;
                tally.points += usize::from(is_joined);
                if differs && (is_joined || by_updates[node].is_some()) {
                    let point = analysis.model().point_name(point);
                    tally
                        .failures
                        .push(format!("{name}, {mode}, {changes:?}: {point} is at {found} V, computed anew at {volts} V"));
                }
            }
        }
    }
}

/// For each node that something conducting joins to a source, one that is joined to it: not through loads and diodes that carry nothing.
fn joined_to_sources(circuit: &Circuit, volts: impl Fn(u32) -> f64, amps: impl Fn(u32) -> Ampere) -> Vec<Option<usize>> {
    let leads = |(number, branch): &(u32, &Branch)| match branch.kind {
        BranchKind::Open => false,
        BranchKind::Resistance(_) | BranchKind::Source { .. } | BranchKind::Coil { .. } => true,
        BranchKind::RelayContact { .. } => (volts(branch.from) - volts(branch.to)).abs() < SAME || flows(amps(*number)),
        BranchKind::CurrentLoad { .. }
        | BranchKind::PowerLoad { .. }
        | BranchKind::ConverterInput { .. }
        | BranchKind::Diode { .. } => flows(amps(*number)),
    };
    let mut joined: Vec<Vec<u32>> = vec![Vec::new(); circuit.nodes as usize];
    let (mut reached, mut sources) = (vec![None; joined.len()], Vec::new());
    for (_, branch) in (0..).zip(&circuit.branches).filter(leads) {
        joined[branch.from as usize].push(branch.to);
        joined[branch.to as usize].push(branch.from);
        if matches!(branch.kind, BranchKind::Source { .. }) {
            sources.push(branch.from);
        }
    }
    for source in sources {
        let mut next = vec![source];
        while let Some(node) = next.pop() {
            if reached[node as usize].is_none() {
                reached[node as usize] = Some(source as usize);
                next.extend(&joined[node as usize]);
            }
        }
    }
    reached
}

/// How many were compared and how many were in another state; nothing may differ.
fn sums(tallies: &[Tally]) -> (usize, usize) {
    let failures: Vec<&String> = tallies.iter().flat_map(|tally| &tally.failures).collect();
    assert!(failures.is_empty(), "{} differ: {failures:#?}", failures.len());
    let points: usize = tallies.iter().map(|tally| tally.points).sum();
    let compared: usize = tallies.iter().map(|tally| tally.compared).sum();
    assert!(points > 10 * compared, "{points} points in {compared} states");
    tallies.iter().fold((0, 0), |(compared, other), tally| (compared + tally.compared, other + tally.other))
}

#[test]
fn single_faults_of_whole_designs_are_those_of_circuits_solved_anew() {
    let every = tier::share("single_faults_of_whole_designs_are_those_of_circuits_solved_anew");
    let whole = ["tractor.yaml", "boat.yaml", "cart.yaml", "motorcycle.yaml", "truck.yaml"];
    let fixtures: Vec<_> = checked_files()
        .iter()
        .filter(|fixture| whole.contains(&fixture.path.file_name().and_then(|name| name.to_str()).unwrap_or_default()))
        .collect();
    assert!(fixtures.len() >= 4, "{} whole designs", fixtures.len());
    let tallies = side_by_side(&fixtures, |fixture| {
        let mut tally = Tally::default();
        compare(&fixture.path.display().to_string(), &fixture.checked.analysis, every, &mut tally);
        tally
    });
    let (compared, other) = sums(&tallies);
    assert!(compared > 200 && other * 50 <= compared, "{compared} compared, {other} in another state");
}

#[test]
fn single_faults_of_random_designs_are_those_of_circuits_solved_anew() {
    let every = if tier::share("single_faults_of_random_designs_are_those_of_circuits_solved_anew") == 1 { 1 } else { 3 };
    let seeds = tier::sample("single_faults_of_random_designs_are_those_of_circuits_solved_anew", 0..24_u64);
    let tallies = side_by_side(&seeds, |seed| {
        let design = Design::load(&MemoryFiles::one("panels.yaml", designs::design(*seed)), "panels.yaml");
        let mut tally = Tally::default();
        compare(&format!("panels {seed}"), &Analysis::of_all(&design), every, &mut tally);
        tally
    });
    let (compared, other) = sums(&tallies);
    assert!(compared > 8 * seeds.len() && other * 4 <= compared, "{compared} compared, {other} in another state");
}

/// A blown fuse is a fuse that was left out of its holder: each fuse of a small design is left out in the text.
#[test]
fn a_blown_fuse_is_one_that_was_left_out_of_the_design() {
    let load = |netlist: String| Design::load(&MemoryFiles::one("panels.yaml", netlist), "panels.yaml");
    let mut compared = 0;
    let seeds = tier::sample("a_blown_fuse_is_one_that_was_left_out_of_the_design", 0..12);
    for seed in &seeds {
        let netlist = designs::design(*seed);
        let whole = load(netlist.clone());
        let modes: Vec<_> = whole.model().modes().map(|(id, _)| id).collect();
        let circuits = electrical::circuits(whole.network(), &modes);
        let fuses = whole.network().edges().filter(|(_, edge)| edge.role.is_fuse());
        for (fuse, edge) in fuses {
            let name = whole.model().element_name(edge.element().expect("a fuse is an element"));
            let (device, own) = name.split_once('.').expect("a fuse is in a device");
            let Some(left_out) = without(&netlist, device, own) else { continue };
            let left_out = load(left_out);
            let others = electrical::circuits(left_out.network(), &modes);
            for (circuit, other) in circuits.iter().zip(&others) {
                let state = solve(circuit);
                if !state.unsettled.is_empty() {
                    continue;
                }
                let on: Vec<u32> = (0..).zip(&state.energised).filter(|(_, on)| **on).map(|(coil, _)| coil).collect();
                let known = Known { amps: &state.amps, energised: &on, runs: &state.converting };
                let base = Base::new(circuit, known, std::iter::empty());
                let blown = base.with(&[Alteration::Becomes { branch: fuse.index() as u32, kind: BranchKind::Open }]);
                let on = (0..circuit.branches.len() as u32).filter(|branch| {
                    matches!(circuit.branches[*branch as usize].kind, BranchKind::Coil { .. }) && blown.is_on(*branch)
                });
                // The edited design has its own numbers: its coils and loads by name.
                let named = |design: &Design, role: EdgeRole| -> BTreeMap<String, u32> {
                    let edges = design.network().edges().filter(|(_, edge)| edge.role == role);
                    edges
                        .filter_map(|(id, edge)| Some((design.model().element_name(edge.element()?), id.index() as u32)))
                        .collect()
                };
                let (own, theirs) = (named(&whole, EdgeRole::Coil), named(&left_out, EdgeRole::Coil));
                let (loads, their_loads) = (named(&whole, EdgeRole::Load), named(&left_out, EdgeRole::Load));
                let on: Vec<u32> = on.collect();
                let energised: Vec<u32> = own.iter().filter(|(_, id)| on.contains(id)).map(|(name, _)| theirs[name]).collect();
                let anew = solve_from(other, &energised);
                let same = own.iter().all(|(name, id)| blown.is_on(*id) == anew.energised[theirs[name] as usize])
                    && loads.iter().all(|(name, id)| {
                        their_loads.get(name).is_none_or(|other| flows(blown.amps(*id)) == flows(anew.amps[*other as usize]))
                    });
                if !blown.is_settled() || !anew.unsettled.is_empty() || !same {
                    continue;
                }
                let volts: BTreeMap<String, Volt> =
                    left_out.model().points().map(|(id, _)| (left_out.model().point_name(id), anew.volts[id.index()])).collect();
                for (id, _) in whole.model().points() {
                    let name = whole.model().point_name(id);
                    let (found, expected) = (blown.volts(id.index() as u32).get(), volts[&name].get());
                    assert!(
                        (found - expected).abs() <= SAME * expected.abs().max(1.0),
                        "seed {seed}, {name}: {found} V, {expected} V"
                    );
                }
                compared += 1;
            }
        }
    }
    assert!(compared > seeds.len(), "{compared} compared");
}

/// The netlist with the fuse `own` of `device` left out of its holder.
fn without(netlist: &str, device: &str, own: &str) -> Option<String> {
    let at = netlist.find(&format!("  {device}:\n"))?;
    let fuse = at + netlist[at..].find(&format!(" {own}: {{ fuse:"))?;
    let inside = fuse + netlist[fuse..].find("fuse:")?;
    Some(format!("{}fitted: false, {}", &netlist[..inside], &netlist[inside..]))
}
