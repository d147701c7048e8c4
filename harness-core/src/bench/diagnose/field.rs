//! The causes that are weighed: sets of faults that are there at once, and what each shows.

use super::{
    ohms,
    probe::{Probe, Seen},
    shows::{self, Shown},
    suspect::Suspect,
};
use crate::{analysis::Analysis, electrical::single_faults::Lasting};

/// Causes with what each shows at each probe.
#[derive(Debug)]
pub(super) struct Field {
    /// The faults of each cause; none for the design without a fault.
    pub(super) sets: Vec<Vec<Suspect>>,
    pub(super) shown: Vec<Shown>,
}

/// What the design shows without a fault at each probe.
pub(super) fn sound((analysis, lasting): (&Analysis, &Lasting<'_>), probes: &[Probe]) -> Vec<Seen> {
    let mut sound = shows::sound(analysis, lasting, probes);
    ohms::add((analysis, lasting.rest()), &[], probes, &mut sound, &mut []);
    sound
}

impl Field {
    /// Tries each set of faults.
    pub(super) fn new(from: (&Analysis, &Lasting<'_>), sets: Vec<Vec<Suspect>>, probes: &[Probe], sound: &[Seen]) -> Self {
        let slices: Vec<&[Suspect]> = sets.iter().map(Vec::as_slice).collect();
        let mut shown = shows::shown(from, &slices, probes, sound);
        if probes.iter().any(|probe| matches!(probe, Probe::Ohms { .. })) {
            ohms::add((from.0, from.1.rest()), &slices, probes, &mut sound.to_vec(), &mut shown);
        }
        Self { sets, shown }
    }

    /// The causes of which it is known what they show, by their places.
    pub(super) fn known(&self) -> impl Iterator<Item = (usize, &[Suspect], &Shown)> {
        let all = self.sets.iter().zip(&self.shown).enumerate();
        all.filter(|(_, (_, shown))| shown.is_known).map(|(at, (set, shown))| (at, set.as_slice(), shown))
    }
}
