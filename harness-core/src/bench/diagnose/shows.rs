//! What each cause shows at each probe, kept as what differs from the design without a fault.

use super::{
    probe::{Flows, Probe, Seen},
    suspect::Suspect,
};
use crate::{analysis::Analysis, electrical::single_faults::Lasting, model::ElementId, quantity::Ohm, threads};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Volts, or amperes, by which something must differ to be kept.
const DIFFERS: f64 = 5e-3;
/// Causes that a thread takes at a time.
const BATCH: usize = 8;

/// What one cause shows.
#[derive(Debug, Clone, Default)]
pub(super) struct Shown {
    /// The cause, by its place in the list.
    pub(super) place: usize,
    /// Whether a state of rest follows from it; nothing is known of what it shows otherwise.
    pub(super) is_known: bool,
    /// Fuses that open because of it.
    pub(super) opens: Vec<ElementId>,
    /// Probes, by their places, at which it shows something else than the design without a fault; ascending.
    pub(super) differs: Vec<(u32, Seen)>,
}

impl Shown {
    /// What it shows at a probe, where `sound` is there without a fault.
    pub(super) fn at(&self, probe: usize, sound: Seen) -> Seen {
        let found = self.differs.binary_search_by_key(&(probe as u32), |(at, _)| *at);
        found.ok().and_then(|at| self.differs.get(at)).map_or(sound, |(_, seen)| *seen)
    }
}

/// What probes show without a fault.
pub(super) fn sound(analysis: &Analysis, lasting: &Lasting<'_>, probes: &[Probe]) -> Vec<Seen> {
    let rest = lasting.rest();
    probes.iter().map(|probe| Flows::Rest(rest).seen(analysis, rest, *probe)).collect()
}

/// What each set of faults shows, in the order of the sets; no faults are the design as it should be.
pub(super) fn shown(
    (analysis, lasting): (&Analysis, &Lasting<'_>),
    sets: &[&[Suspect]],
    probes: &[Probe],
    sound: &[Seen],
) -> Vec<Shown> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut tries = lasting.tries();
        let mut found = Vec::new();
        loop {
            let first = next.fetch_add(BATCH, Ordering::Relaxed);
            let Some(batch) = sets.get(first..sets.len().min(first + BATCH)).filter(|batch| !batch.is_empty()) else { break };
            for (place, suspects) in (first..).zip(batch) {
                if suspects.is_empty() {
                    found.push(Shown { place, is_known: true, ..Shown::default() });
                    continue;
                }
                let faults: Vec<_> = suspects.iter().map(|suspect| (suspect.fault, suspect.raised)).collect::<Vec<(_, Ohm)>>();
                let Some(came) = tries.with(&faults) else {
                    found.push(Shown { place, ..Shown::default() });
                    continue;
                };
                let flows = Flows::After(&came.after, suspects);
                // Ohms are measured without a source, elsewhere.
                let seen = probes.iter().zip(sound).map(|(probe, sound)| match probe {
                    Probe::Ohms { .. } => *sound,
                    _ => flows.seen(analysis, lasting.rest(), *probe),
                });
                let differs = (0..).zip(seen.zip(sound)).filter(|(_, (seen, sound))| !seen.is_like(sound, DIFFERS));
                let differs = differs.map(|(at, (seen, _))| (at, seen)).collect();
                found.push(Shown { place, is_known: true, opens: came.opens, differs });
            }
        }
        found
    };
    let mut found = threads::many(None, work);
    found.sort_unstable_by_key(|shown| shown.place);
    found
}
