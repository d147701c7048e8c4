//! Two faults at once that may explain what none explains alone.
//!
//! Two are worth a try if each reading is explained by the one or the other; or, for what has two ways, if both move readings that the design
//! without a fault does not explain. Causes that show the same at the readings are one kind, of which one is tried; then each of those that fit.

use super::{
    field::Field,
    probe::{CONTRADICTS, Seen},
    read::Reading,
};
use std::collections::BTreeMap;

/// Pairs of kinds that are tried.
const MOST: usize = 2_000;
/// Kinds that are paired with each other whether or not they explain anything alone.
const MOST_NEAR: usize = 60;
/// Share of a standard deviation within which two causes show the same.
const FINE: f64 = 0.02;
/// Standard deviations that count as no more than this many.
const FAR: f64 = 1e6;

/// Causes that show the same at the readings.
#[derive(Debug)]
pub(super) struct Kind {
    /// Which readings they explain.
    explains: Vec<bool>,
    /// How far they move readings that contradict the design without a fault, in standard deviations.
    moves: f64,
    /// Their places in the field.
    pub(super) members: Vec<usize>,
}

/// The kinds of single faults that move anything which is beside what the design shows without one.
pub(super) fn kinds(field: &Field, readings: &[Reading], (at, sound): (&[usize], &[Seen]), noise: f64) -> Vec<Kind> {
    let sound = |probe: usize| sound.get(probe).copied().unwrap_or(Seen::exactly(0.0));
    let mut kinds: BTreeMap<Vec<i64>, Kind> = BTreeMap::new();
    for (place, set, shown) in field.known() {
        if set.is_empty() {
            continue;
        }
        let (mut key, mut explains, mut moves) = (Vec::new(), Vec::new(), 0.0);
        for (reading, probe) in readings.iter().zip(at) {
            let (seen, without) = (shown.at(*probe, sound(*probe)), sound(*probe));
            let step = reading.probe.deviation(without, noise) * FINE;
            key.push((seen.low.clamp(-FAR, FAR) / step).round() as i64);
            explains.push(reading.probe.beside(reading.value, seen, noise) < CONTRADICTS);
            if reading.probe.beside(reading.value, without, noise) >= CONTRADICTS && without.is_known() {
                moves += reading.probe.beside(without.low, seen, noise).min(FAR);
            }
        }
        if moves > 0.0 {
            kinds.entry(key).or_insert_with(|| Kind { explains, moves, members: Vec::new() }).members.push(place);
        }
    }
    kinds.into_values().collect()
}

/// Pairs of kinds worth a try, by their places; those that explain all readings between them first.
pub(super) fn pairs(kinds: &[Kind]) -> Vec<(usize, usize)> {
    let mut chosen: Vec<(usize, usize)> = Vec::new();
    for (one, kind) in kinds.iter().enumerate() {
        for (other, second) in kinds.iter().enumerate().skip(one) {
            if kind.explains.iter().zip(&second.explains).all(|(a, b)| *a || *b) {
                chosen.push((one, other));
            }
        }
    }
    chosen.truncate(MOST);
    let moves = |at: usize| kinds.get(at).map_or(0.0, |kind| kind.moves);
    let mut near: Vec<usize> = (0..kinds.len()).collect();
    near.sort_by(|a, b| moves(*b).total_cmp(&moves(*a)).then(a.cmp(b)));
    near.truncate(MOST_NEAR);
    near.sort_unstable();
    for (place, one) in near.iter().enumerate() {
        chosen.extend(near.iter().skip(place).map(|other| (*one, *other)));
    }
    let mut seen = std::collections::BTreeSet::new();
    chosen.retain(|pair| seen.insert(*pair));
    chosen.truncate(MOST);
    chosen
}
