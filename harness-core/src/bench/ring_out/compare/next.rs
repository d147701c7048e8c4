//! The reading that decides between slips that explain the same: the one that splits them most evenly.

use super::Observed;
use crate::bench::ring_out::{bare::Spot, piece::Shown, plan::Plan, rig::Rig, slip::Slip, state::State};
use std::collections::{BTreeMap, BTreeSet};

/// Slips that are held against each other at most.
const MOST_SLIPS: usize = 80;
/// Places among which a reading is looked for at most.
const MOST_PLACES: usize = 60;
/// Resistances that a meter is sure to distinguish differ by so many parts of a decade.
const STEPS: f64 = 3.0;
/// Resistance below which all is metal to a hand-held meter, in ohm.
const METAL: f64 = 3.0;

/// Two places whose reading splits slips best, with `rest` in the loom beside each; `None` where none does that was not taken yet.
pub(super) fn next_reading(
    rig: &Rig,
    plan: &Plan,
    (observed, rest): (&[Observed<'_>], &[Slip]),
    slips: &[Slip],
) -> Option<(Spot, Spot)> {
    if slips.len() < 2 {
        return None;
    }
    let states: Vec<State<'_>> = slips
        .iter()
        .take(MOST_SLIPS)
        .map(|slip| {
            let all: Vec<Slip> = rest.iter().cloned().chain([slip.clone()]).collect();
            State::with(rig, &all)
        })
        .collect();
    let places = places(rig, plan, slips);
    // What was read once decides nothing a second time.
    let taken: BTreeSet<(Spot, Spot)> = observed
        .iter()
        .filter_map(Observed::metered)
        .filter(|reading| reading.strip.is_none())
        .map(|reading| (reading.from.min(reading.to), reading.from.max(reading.to)))
        .collect();
    let mut best: Option<(usize, (Spot, Spot))> = None;
    for (at, from) in places.iter().enumerate() {
        for to in places.iter().skip(at + 1).filter(|to| !taken.contains(&(*from, **to))) {
            let mut counts: BTreeMap<i32, usize> = BTreeMap::new();
            for state in &states {
                *counts.entry(class(state.shown(*from, *to))).or_default() += 1;
            }
            // What is left to be decided afterwards, on the average, times the number of slips.
            let left: usize = counts.values().map(|count| count * count).sum();
            if counts.len() > 1 && best.is_none_or(|(least, _)| left < least) {
                best = Some((left, (*from, *to)));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

/// Readings that a meter is sure to distinguish are of different classes.
fn class(shown: Shown) -> i32 {
    match shown {
        Shown::Open => 0,
        Shown::Ohms(ohms) if ohms.nominal < METAL => 1,
        Shown::Ohms(ohms) => 2 + (ohms.nominal.log10() * STEPS) as i32,
        // In ohms nobody knows what these show.
        Shown::Forward(_) | Shown::Vague => -1,
    }
}

/// Places where slips differ: what they move, where their conductors end, and where the same net can be read.
fn places(rig: &Rig, plan: &Plan, slips: &[Slip]) -> Vec<Spot> {
    let mut places: BTreeSet<Spot> = BTreeSet::new();
    for slip in slips.iter().take(MOST_SLIPS) {
        let own: Vec<Spot> = match slip {
            Slip::Open(join) | Slip::Reversed(join) | Slip::Shorted(join) | Slip::Poor(join, _) | Slip::Wrong(join, _) => {
                vec![rig.bare.joins[*join].from, rig.bare.joins[*join].to]
            }
            Slip::Unseated(spot) => vec![*spot],
            Slip::Swapped(one, other) | Slip::Bridged(one, other) | Slip::Leaky(one, other, _) | Slip::Touching(one, other) => {
                vec![*one, *other]
            }
            Slip::Misplaced { from, to } | Slip::Crowded { from, to } => vec![*from, *to],
            Slip::Shifted { moves, .. } => moves.iter().flat_map(|(from, to)| [*from, *to]).collect(),
        };
        for spot in own {
            if places.len() < MOST_PLACES {
                places.insert(spot);
                places.extend(plan.at[spot].iter().flat_map(|id| [plan.steps[*id].from, plan.steps[*id].to]).take(4));
            }
        }
    }
    places.into_iter().filter(|spot| rig.bare.spots[*spot].is_open).collect()
}
