//! What each cause shows at each probe, kept as what differs from the design without a fault.

use super::{
    probe::{Flows, Probe, Seen},
    suspect::Suspect,
};
use crate::{
    analysis::Analysis,
    electrical::single_faults::{Fault, Lasting, Tries},
    model::ElementId,
    quantity::Ohm,
    threads,
};
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
                if suspects.iter().all(|suspect| drops_nothing(lasting, suspect)) {
                    found.push(Shown { place, is_known: true, ..Shown::default() });
                    continue;
                }
                let least = one(&mut tries, (analysis, lasting), suspects, 0, probes, sound);
                let shown = match suspects
                    .iter()
                    .any(Suspect::is_wide)
                    .then(|| one(&mut tries, (analysis, lasting), suspects, 1, probes, sound))
                {
                    Some(most) => least.zip(most).map(|(least, most)| hull(least, most)),
                    None => least,
                };
                let shown = shown.map(|(opens, seen)| {
                    let differs =
                        (0..).zip(seen.into_iter().zip(sound)).filter(|(_, (seen, sound))| !seen.is_like(sound, DIFFERS));
                    Shown { place, is_known: true, opens, differs: differs.map(|(at, (seen, _))| (at, seen)).collect() }
                });
                found.push(shown.unwrap_or(Shown { place, ..Shown::default() }));
            }
        }
        found
    };
    let mut found = threads::many(None, work);
    found.sort_unstable_by_key(|shown| shown.place);
    found
}

/// What faults show at each probe, corroded contacts with the lesser or the greater of their resistances; with the fuses that open.
fn one<'a>(
    tries: &mut Tries<'a>,
    (analysis, lasting): (&Analysis, &Lasting<'_>),
    suspects: &[Suspect],
    which: usize,
    probes: &[Probe],
    sound: &[Seen],
) -> Option<(Vec<ElementId>, Vec<Seen>)> {
    let raised = |suspect: &Suspect| suspect.raised.get(which).copied().unwrap_or_default();
    let faults: Vec<(Fault, Ohm)> = suspects.iter().map(|suspect| (suspect.fault, raised(suspect))).collect();
    let came = tries.with(&faults)?;
    let flows = Flows::After(&came.after, suspects);
    // Ohms are measured without a source, elsewhere.
    let seen = probes.iter().zip(sound).map(|(probe, sound)| match probe {
        Probe::Ohms { .. } => *sound,
        Probe::Volts { .. } | Probe::Works(_) | Probe::Amps(_) => flows.seen(analysis, lasting.rest(), *probe),
    });
    Some((came.opens, seen.collect()))
}

/// Whether what flows through a corroded contact is too little for any meter.
fn drops_nothing(lasting: &Lasting<'_>, suspect: &Suspect) -> bool {
    match suspect.fault {
        Fault::Raised(edge) => suspect.raised.iter().all(|ohms| lasting.rest().amps(edge).get().abs() * ohms.get() < DIFFERS),
        Fault::Open(_) | Fault::Blown(_) | Fault::Bridged(..) | Fault::Welded(_) | Fault::Stuck(_) => false,
    }
}

/// Anything between the two.
fn hull((opens, least): (Vec<ElementId>, Vec<Seen>), (_, most): (Vec<ElementId>, Vec<Seen>)) -> (Vec<ElementId>, Vec<Seen>) {
    let between = |(one, other): (Seen, Seen)| Seen {
        low: one.low.min(other.low),
        high: one.high.max(other.high),
        floats: one.floats || other.floats,
    };
    (opens, least.into_iter().zip(most).map(between).collect())
}
