//! How well a cause explains readings.

use super::{
    probe::{CONTRADICTS, Seen},
    read::Reading,
};

/// What readings make of a cause.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weight {
    /// The natural logarithm of how likely all readings are with it.
    pub(super) log: f64,
    /// The reading that contradicts it most, by its place, with the standard deviations between the two; `None` where none does.
    pub(super) against: Option<(usize, f64)>,
}

/// Weighs a cause by what it shows at each reading, in their order.
pub(super) fn weigh(readings: &[Reading], shows: impl Iterator<Item = Seen>, noise: f64, range: f64) -> Weight {
    let mut weight = Weight { log: 0.0, against: None };
    for ((place, reading), seen) in readings.iter().enumerate().zip(shows) {
        let likelihood = reading.probe.likelihood(reading.value, seen, noise, range);
        weight.log += likelihood.max(f64::MIN_POSITIVE).ln();
        let beside = reading.probe.beside(reading.value, seen, noise);
        if beside >= CONTRADICTS && weight.against.is_none_or(|(_, most)| beside > most) {
            weight.against = Some((place, beside));
        }
    }
    weight
}
