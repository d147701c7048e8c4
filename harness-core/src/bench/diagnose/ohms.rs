//! Resistances as an ohmmeter shows them: all sources off, relays at rest, switches as the mode has them.
//!
//! A meter measures with a few tenths of a volt, so diodes don't conduct. What a load has cold nobody knows: a motor or a lamp next to nothing, a
//! box with electronics next to no current; the answer is between the two. Cost: two solutions for each pair of points, then small updates.

use super::{
    probe::{Probe, Seen},
    shows::Shown,
    suspect::Suspect,
};
use crate::{
    analysis::Analysis,
    circuit::{
        Branch, BranchKind, Circuit,
        altered::{Alteration, Base, Known},
        solve::solve,
    },
    electrical::{altered::Rest, single_faults::Fault, what_if::Change},
    model::{ElementId, PointId},
    network::EdgeId,
    quantity::{Ohm, Volt},
    standards::{peak, supply},
};
use rustc_hash::FxHashMap;

/// What a meter measures with.
const TEST_VOLTS: f64 = 0.2;
/// Its own resistance.
const TEST_OHMS: f64 = 1.0;
/// Resistance from which on it shows no limit.
const NO_LIMIT: f64 = 1e7;
/// The least that the input of a box with electronics has, in ohm.
const LEAST_INPUT: f64 = 100.0;
/// Ohm by which two answers must differ to be kept.
const DIFFERS: f64 = 1e-3;

/// The design without its sources, ready for faults, with the meter between two points.
struct Meter {
    circuit: Circuit,
    base: Base,
    branch: u32,
}

/// Adds what each cause shows at the probes of ohms, and sets what the design shows without a fault.
pub(super) fn add(
    (analysis, rest): (&Analysis, &Rest<'_>),
    sets: &[&[Suspect]],
    probes: &[Probe],
    sound: &mut [Seen],
    shown: &mut [Shown],
) {
    let fuses: FxHashMap<ElementId, EdgeId> = analysis
        .network()
        .edges()
        .filter(|(_, edge)| edge.role.is_fuse())
        .filter_map(|(id, edge)| Some((edge.element()?, id)))
        .collect();
    for (at, probe) in probes.iter().enumerate() {
        let Probe::Ohms { one, other } = *probe else { continue };
        let [least, most] = [true, false].map(|least| Meter::new(rest, least, (one, other)));
        let without = Seen { low: least.ohms(&[]), high: most.ohms(&[]), floats: false };
        if let Some(slot) = sound.get_mut(at) {
            *slot = without;
        }
        for shown in shown.iter_mut().filter(|shown| shown.is_known) {
            let Some(suspects) = sets.get(shown.place) else { continue };
            let changes = |which: usize| -> Vec<Change> {
                let opens = shown.opens.iter().filter_map(|fuse| fuses.get(fuse)).map(|edge| Change::Open(*edge));
                suspects.iter().map(|suspect| change(suspect, which)).chain(opens).collect()
            };
            let seen = Seen { low: least.ohms(&changes(0)), high: most.ohms(&changes(1)), floats: false };
            if !seen.is_like(&without, DIFFERS) {
                shown.differs.push((at as u32, seen));
                shown.differs.sort_unstable_by_key(|(at, _)| *at);
            }
        }
    }
}

/// What a fault is to a circuit in which nothing flows, with the lesser or the greater of its resistances.
fn change(suspect: &Suspect, which: usize) -> Change {
    match suspect.fault {
        Fault::Open(edge) | Fault::Blown(edge) | Fault::Stuck(edge) => Change::Open(edge),
        Fault::Raised(edge) => Change::Raised(edge, suspect.raised.get(which).copied().unwrap_or_default()),
        Fault::Welded(edge) => Change::Closed(edge),
        Fault::Bridged(one, other) => Change::Joined(one, other, supply::bridge().value),
    }
}

impl Meter {
    fn new(rest: &Rest<'_>, least: bool, (one, other): (PointId, PointId)) -> Self {
        let mut circuit = rest.circuit().clone();
        for branch in &mut circuit.branches {
            branch.kind = passive(branch.kind, least);
        }
        let kind = BranchKind::Source { emf: Volt::new(TEST_VOLTS), resistance: Ohm::new(TEST_OHMS), limit: None };
        let branch = circuit.branches.len() as u32;
        circuit.branches.push(Branch { from: other.index() as u32, to: one.index() as u32, kind });
        let state = solve(&circuit);
        let base = Base::new(&circuit, Known { amps: &state.amps, energised: &[], runs: &state.converting }, std::iter::empty());
        Self { circuit, base, branch }
    }

    fn ohms(&self, changes: &[Change]) -> f64 {
        let alterations: Vec<Alteration> = changes.iter().filter_map(|change| change.in_circuit(&self.circuit)).collect();
        let amps = self.base.with(&alterations).amps(self.branch).get();
        let ohms = TEST_VOLTS / amps.abs() - TEST_OHMS;
        if ohms < NO_LIMIT { ohms.max(0.0) } else { f64::INFINITY }
    }
}

/// What a branch is without sources; with the least resistance that it may have, or the most.
fn passive(kind: BranchKind, least: bool) -> BranchKind {
    let load = |ohms: f64| {
        if least && ohms.is_finite() && ohms > 0.0 { BranchKind::Resistance(Ohm::new(ohms)) } else { BranchKind::Open }
    };
    let cold = peak::cold_filament().value.get();
    match kind {
        BranchKind::Resistance(_) => kind,
        BranchKind::Coil { resistance, .. } => BranchKind::Resistance(resistance),
        BranchKind::RelayContact { closed_when_energised, resistance, .. } => {
            if closed_when_energised {
                BranchKind::Open
            } else {
                BranchKind::Resistance(resistance)
            }
        }
        BranchKind::CurrentLoad { amps, nominal } => load(nominal.get() / amps.get() / cold),
        BranchKind::PowerLoad { watts, nominal } => load(nominal.get() * nominal.get() / watts.get() / cold),
        BranchKind::ConverterInput { .. } => load(LEAST_INPUT),
        BranchKind::Open | BranchKind::Source { .. } | BranchKind::Diode { .. } => BranchKind::Open,
    }
}
