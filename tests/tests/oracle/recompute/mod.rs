//! Capacities, temperatures, neighbours and shorts of whole designs, computed anew: the files read with another reader, the tables as
//! printed, currents by a dense solver, heat by halving, shorts by `clearing`.
//!
//! Taken from the library: which branches are closed in a mode and what loads and sources pass, which `oracle/spice` compares with a
//! circuit simulator, and the resistance of cold conductors, which `published/conductor` compares with printed ones.

mod clearing;
mod doubles;
mod fault;
mod flow;
mod lasting;
mod reading;
mod sizes;
mod trials;
mod warmth;

use fault::Fuse;
use flow::Flow;
use harness_core::{
    Analysis, Design, FileError, Files,
    internals::{
        electrical::ModeState,
        model::{ElementId, ElementKind, WireId},
    },
};
use harness_tests::fixtures;
use reading::{Lies, Reading};
use std::collections::BTreeMap;
use warmth::Conductor;

/// Agreement that is asked for, as a share.
const SHARE: f64 = 0.01;
/// What the library leaves between two rounds of warming, and rounding, in K.
const ROUND: f64 = 0.15;

struct Folder(std::path::PathBuf);

impl Files for Folder {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        std::fs::read(self.0.join(name)).map_err(|error| FileError::Unreadable(error.to_string()))
    }
}

/// All that was computed anew of one mode.
struct Anew {
    /// Current of each wire that lasts.
    amps: Vec<f64>,
    degc: Vec<Option<f64>>,
}

/// One design, computed by both.
struct Twice {
    analysis: Analysis,
    names: Vec<WireId>,
    lies: Vec<Lies>,
    conductors: Vec<Conductor>,
    fuses: BTreeMap<ElementId, Fuse>,
}

impl Twice {
    fn new(folder: &str, root: &str) -> Self {
        let files = Folder(fixtures().join(folder));
        let reading = Reading::new(&files.0.join(root));
        let analysis = Analysis::of_all(&Design::load(&files, root));
        let names: Vec<WireId> = analysis.model().wires().map(|(id, _)| id).collect();
        let lies: Vec<Lies> = names.iter().map(|id| reading.wire(&analysis.model().wire_name(*id))).collect();
        let conductors = lies.iter().map(|lies| Conductor::new(lies.size, lies.rated, lies.air, reading.is_marine)).collect();
        let model = analysis.model();
        let fuse = |(id, element): (ElementId, &harness_core::internals::model::Element)| {
            let ElementKind::Fuse { kind, .. } = element.kind else { return None };
            let link = kind.map(|kind| reading.fuse(model.text(model[kind].name)));
            let ends = (element.points[0].index(), element.points[1].index());
            Some((id, Fuse { name: model.element_name(id), ends, link }))
        };
        let fuses = model.elements().filter_map(fuse).collect();
        Self { analysis, names, lies, conductors, fuses }
    }

    /// Currents and temperatures, again and again until no temperature moves.
    fn mode(&self, mode: &ModeState, name: &str) -> Anew {
        let flow = Flow::new(&self.analysis, mode);
        let mut degc: Vec<f64> = self.lies.iter().map(|lies| lies.air).collect();
        for _ in 0..30 {
            let solved = flow.solve(|wire| self.conductors[wire].copper(degc[wire]));
            let amps: Vec<f64> = solved
                .iter()
                .zip(&self.lies)
                .map(|(amps, lies)| {
                    lies.given.iter().filter(|(_, modes)| modes.contains(name)).fold(*amps, |most, given| most.max(given.0))
                })
                .collect();
            let rises = self.rises(&amps);
            let found: Vec<Option<f64>> =
                (0..amps.len()).map(|wire| self.conductors[wire].steady(amps[wire], rises[wire].0)).collect();
            let next: Vec<f64> = found.iter().map(|at| at.unwrap_or(300.0).min(300.0)).collect();
            let moved = next.iter().zip(&degc).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            degc = next;
            if moved < 1e-3 {
                return Anew { amps, degc: found };
            }
        }
        panic!("no steady state in mode {name}");
    }

    /// By how much its neighbours warm each wire, and how many of them carry current, in the bundle where that is most.
    fn rises(&self, amps: &[f64]) -> Vec<(f64, usize)> {
        let mut bundles: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (wire, lies) in self.lies.iter().enumerate() {
            lies.bundles.iter().for_each(|bundle| bundles.entry(bundle).or_default().push(wire));
        }
        let heats: Vec<f64> = amps.iter().zip(&self.conductors).map(|(amps, conductor)| conductor.heat(*amps)).collect();
        let marine = self.conductors.first().is_some_and(|conductor| conductor.is_marine);
        let of = |wire: usize| {
            let each = self.lies[wire].bundles.iter().map(|bundle| {
                let others = bundles[bundle.as_str()].iter().filter(|other| **other != wire).map(|other| heats[*other]);
                let others: Vec<f64> = others.filter(|heat| *heat > 0.0).collect();
                (warmth::layers(&others, marine), others.len())
            });
            each.fold((0.0, 0), |most, one| if one.0 > most.0 { one } else { most })
        };
        (0..amps.len()).map(of).collect()
    }

    /// By how much its neighbours warm each wire in the worst of the modes in which it may carry current, idle ones that are live at
    /// their largest current, and how many they are.
    fn beside(&self, modes: &[(&ModeState, Anew)]) -> Vec<(f64, usize)> {
        let most: Vec<f64> =
            (0..self.names.len()).map(|wire| modes.iter().map(|(_, anew)| anew.amps[wire]).fold(0.0, f64::max)).collect();
        let mut worst = vec![(0.0, 0); self.names.len()];
        for (mode, anew) in modes {
            let live = flow::live(&self.analysis, mode);
            let may: Vec<f64> = (0..most.len())
                .map(|wire| if anew.amps[wire] <= 1e-6 && live[wire] { most[wire] } else { anew.amps[wire] })
                .collect();
            for (wire, rise) in self.rises(&may).into_iter().enumerate() {
                if (may[wire] > 1e-6 || live[wire] || most[wire] <= 1e-6) && rise.0 > worst[wire].0 {
                    worst[wire] = rise;
                }
            }
        }
        worst
    }
}

fn compare(folder: &str, root: &str, least_compared: usize) {
    let twice = Twice::new(folder, root);
    let (model, electrical) = (twice.analysis.model(), twice.analysis.electrical());
    let mut failures = Vec::new();
    // Flat batteries on charge take most: their conductors are judged in that state too.
    let states = electrical.modes().chain(electrical.charges().iter().map(|charge| &charge.flat));
    let modes: Vec<(&ModeState, Anew)> = states.map(|mode| (mode, twice.mode(mode, model.mode_name(mode.id)))).collect();
    for (mode, anew) in &modes {
        let lasting = electrical.lasting(mode);
        for (wire, id) in twice.names.iter().enumerate() {
            let (name, ours) = (format!("{} in {}", model.wire_name(*id), model.mode_name(mode.id)), lasting[*id].get());
            if (ours - anew.amps[wire]).abs() > SHARE * anew.amps[wire] + 1e-3 {
                failures.push(format!("{name}: {ours} A, anew {} A", anew.amps[wire]));
            }
            let (ours, anew, air) = (mode.temperature(*id).map(|at| at.get()), anew.degc[wire], twice.lies[wire].air);
            match (ours, anew) {
                (Some(ours), Some(anew)) if (ours - anew).abs() <= SHARE * (anew - air) + ROUND => {}
                (None, None) => {}
                _ => failures.push(format!("{name}: {ours:?} degC, anew {anew:?} degC in air of {air}")),
            }
        }
    }
    let worst = twice.beside(&modes);
    let mut compared = 0;
    for (wire, id) in twice.names.iter().enumerate() {
        let name = model.wire_name(*id);
        let ours = electrical.capacity(*id).map_or(f64::NAN, |capacity| capacity.amps.get());
        let anew = twice.conductors[wire].capacity(worst[wire].0);
        compared += 1;
        // What is not a number agrees with nothing.
        let agrees = (ours - anew).abs() <= SHARE * anew + 1e-9;
        if !agrees {
            failures.push(format!("{name}: capacity {ours} A, anew {anew} A beside {:?}", worst[wire]));
        }
        let beside = electrical.loading(*id).beside;
        if worst[wire].0 > 0.5 && beside.conductors as usize != worst[wire].1 {
            failures.push(format!("{name}: {} conductors beside it, anew {}", beside.conductors, worst[wire].1));
        }
    }
    assert!(compared >= least_compared, "{compared} of {least_compared} conductors");
    assert!(failures.is_empty(), "{} differ:\n{}", failures.len(), failures.join("\n"));
}

/// The shorts of a design, with the number of conductors and fuses that are compared, and of conductors that are not: those that a
/// source feeds past no fuse, and those that no fault current reaches.
fn clear(folder: &str, root: &str, expected: [usize; 4]) -> Vec<String> {
    let twice = Twice::new(folder, root);
    let (model, electrical) = (twice.analysis.model(), twice.analysis.electrical());
    let states = electrical.modes().chain(electrical.charges().iter().map(|charge| &charge.flat));
    let modes: Vec<(&ModeState, Anew)> = states.map(|mode| (mode, twice.mode(mode, model.mode_name(mode.id)))).collect();
    let worst = twice.beside(&modes).into_iter().zip(&twice.conductors);
    let capacities: Vec<f64> = worst.map(|((rise, _), conductor)| conductor.capacity(rise)).collect();
    let modes: Vec<&ModeState> = electrical.modes().collect();
    let test = "shorts_of_whole_designs_are_cleared_as_computed_anew";
    let (counts, mut failures) = clearing::compare(&twice, &modes, &capacities, test);
    let found = [counts.conductors, counts.fuses, counts.bare, counts.idle];
    if found != expected {
        failures.push(format!("{found:?} conductors, fuses, bare and idle conductors instead of {expected:?}"));
    }
    failures.into_iter().map(|failure| format!("{root}: {failure}")).collect()
}

#[test]
fn shorts_of_whole_designs_are_cleared_as_computed_anew() {
    let designs = [
        ("cart-48v", "cart.yaml", [32, 9, 0, 16]),
        ("boat-12v", "boat.yaml", [26, 9, 3, 0]),
        ("cases", "mains-charger-with-earth-mended.yaml", [6, 2, 0, 4]),
        ("written-out/terrace-tractor", "tractor.yaml", [158, 35, 0, 78]),
        // Conductors that a short burns.
        ("cases", "thinner-lead-behind-the-same-fuse.yaml", [3, 1, 0, 0]),
        ("cases", "battery-switch-to-thin-cable.yaml", [5, 2, 0, 0]),
        ("rules/protection", "uncleared-fault.yaml", [9, 4, 0, 0]),
        ("rules/protection", "uncleared-fault/contact-resistance.yaml", [26, 10, 0, 2]),
        // Coils, banks that face each other, fuses at both poles, taps.
        ("rules/protection", "uncleared-fault/coils.yaml", [21, 4, 0, 3]),
        ("rules/protection", "selectivity/side-by-side.yaml", [35, 23, 0, 2]),
    ];
    let failures: Vec<String> = designs.into_iter().flat_map(|(folder, root, expected)| clear(folder, root, expected)).collect();
    assert!(failures.is_empty(), "{} differ:\n{}", failures.len(), failures.join("\n"));
}

#[test]
fn the_tractor_is_computed_anew() {
    compare("written-out/terrace-tractor", "tractor.yaml", 230);
}

#[test]
fn the_cart_is_computed_anew() {
    compare("cart-48v", "cart.yaml", 48);
}

#[test]
fn the_boat_is_computed_anew() {
    compare("boat-12v", "boat.yaml", 29);
}
