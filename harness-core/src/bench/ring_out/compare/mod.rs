//! Measured readings against what the loom should show: what is wrong, by how well it explains all of them, and what decides between equals.

mod lamps;
mod measured;
mod next;
mod search;
mod words;

pub(super) use lamps::noted;
pub use lamps::{LampRow, UnseenLamps};
pub use measured::MeasuredRow;
pub(super) use measured::read;
pub(super) use words::sentence;

use super::{
    bare::Spot,
    lamp_board::Board,
    meter::Meter,
    plan::Plan,
    planned::{Purpose, StepId},
    reading::{Reading, Setting},
    rig::Rig,
    slip::Slip,
    state::State,
    strip::Strip,
};
use next::{confirming, moved_by, next_reading};
use search::{Explanation, Search};
use std::collections::{BTreeMap, BTreeSet};

/// Explanations of another kind that are shown beside the likeliest one.
const MOST_OTHERS: usize = 3;
/// By how much odder than the likeliest they may be.
const ODDER: f64 = 0.5;

/// What was seen of a loom.
#[derive(Debug, Clone, Copy)]
pub(super) enum Observed<'p> {
    /// A reading of the meter.
    Metered(Metered<'p>),
    /// A lamp of a board, pattern by pattern; `None` where nobody noted it.
    Lamp { board: &'p Board, at: Spot, seen: &'p [Option<bool>] },
}

impl<'p> Observed<'p> {
    pub(super) fn metered(&self) -> Option<&Metered<'p>> {
        match self {
            Self::Metered(metered) => Some(metered),
            Self::Lamp { .. } => None,
        }
    }

    /// Whether a loom shows it.
    fn fits(&self, meter: &Meter, state: &State<'_>) -> bool {
        match self {
            Self::Metered(Metered { from, to, strip, setting, reading }) => {
                meter.agrees(*reading, state.shown_on(*from, *to, *strip), *setting)
            }
            Self::Lamp { board, at, seen } => board.fits(state, *at, seen),
        }
    }
}

/// A reading that was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Metered<'p> {
    pub(super) from: Spot,
    pub(super) to: Spot,
    /// The strip, where the other lead was on it; else it was at `to`.
    pub(super) strip: Option<&'p Strip>,
    pub(super) setting: Setting,
    pub(super) reading: Reading,
}

/// One slip of an explanation, with those that would explain the same.
#[derive(Debug, Clone)]
pub(super) struct Cause {
    pub(super) slip: Slip,
    /// Slips that fit all readings as well in its place, the likeliest first.
    pub(super) equals: Vec<Slip>,
    /// Two places whose reading decides between them; `None` where there is nothing to decide, or no reading does.
    pub(super) decides: Option<(Spot, Spot)>,
    /// Two places that are joined if it is one of these, and open if conductors are open instead, which explains as much.
    pub(super) confirms: Option<(Spot, Spot)>,
}

/// What readings say of a loom.
#[derive(Debug, Default)]
pub(super) struct Comparison {
    /// The readings that a sound loom does not give, by their places among those taken.
    pub(super) failing: BTreeSet<usize>,
    /// The slips that together explain most, the fewest of them.
    pub(super) causes: Vec<Cause>,
    /// Readings that these do not explain.
    pub(super) against: BTreeSet<usize>,
    /// Other slips, and the places of the causes that they are instead of.
    pub(super) others: Vec<(Vec<usize>, Vec<Slip>)>,
}

pub(super) fn compare(rig: &Rig, plan: &Plan, meter: &Meter, observed: &[Observed<'_>]) -> Comparison {
    let search = Search::new(rig, meter, observed);
    let explanations = search.explanations();
    let mut comparison = Comparison { failing: search.failing().clone(), ..Comparison::default() };
    let Some(best) = explanations.first() else {
        comparison.against = comparison.failing.clone();
        return comparison;
    };
    comparison.against.clone_from(&best.against);
    for (at, slip) in best.slips.iter().enumerate() {
        let equals = equals(&search, best, at);
        let all: Vec<Slip> = std::iter::once(slip.clone()).chain(equals.iter().cloned()).collect();
        let rest: Vec<Slip> =
            best.slips.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, slip)| slip.clone()).collect();
        let decides = next_reading(rig, plan, (observed, &rest), &all);
        let confirms = || {
            // Terminals that are moved leave nets open, as wires that are open do: what they join elsewhere was not read.
            let empty = moved_by(slip).into_iter().map(|(cavity, _)| Slip::Unseated(cavity));
            let loose = search.judge(rest.iter().cloned().chain(empty).collect());
            let is_as_good = loose.against.is_subset(&best.against);
            is_as_good.then(|| confirming(rig, observed, &best.slips, slip)).flatten()
        };
        let confirms = if decides.is_none() { confirms() } else { None };
        comparison.causes.push(Cause { slip: slip.clone(), equals, decides, confirms });
    }
    let is_known = |slip: &Slip| comparison.causes.iter().any(|cause| cause.slip == *slip || cause.equals.contains(slip));
    let others = explanations.iter().skip(1).filter(|other| {
        other.against.len() == best.against.len()
            && other.slips.len() == best.slips.len()
            && other.oddness <= best.oddness + ODDER
            && !other.slips.iter().all(is_known)
    });
    let instead = |other: &Explanation| {
        let of = best.slips.iter().enumerate().filter(|(_, slip)| !other.slips.contains(slip)).map(|(at, _)| at).collect();
        (of, other.slips.iter().filter(|slip| !best.slips.contains(slip)).cloned().collect())
    };
    comparison.others = others.take(MOST_OTHERS).map(instead).collect();
    comparison
}

/// Slips that explain as much in the place of one of an explanation.
fn equals(search: &Search<'_>, best: &Explanation, at: usize) -> Vec<Slip> {
    let mut found: Vec<(f64, Slip)> = Vec::new();
    for slip in &search.candidates {
        if best.slips.contains(slip) {
            continue;
        }
        let mut slips = best.slips.clone();
        if let Some(place) = slips.get_mut(at) {
            *place = slip.clone();
        }
        let judged = search.judge(slips);
        if judged.against.len() <= best.against.len() {
            found.push((judged.oddness, slip.clone()));
        }
    }
    found.sort_by(|one, other| one.0.total_cmp(&other.0));
    found.into_iter().map(|(_, slip)| slip).collect()
}

/// The steps of the plan that no reading is of, and how many of those against the strip. Which lead is at which end matters to diodes alone; two nets
/// that were held apart on the strip need no reading of their own.
pub(super) fn unread(rig: &Rig, plan: &Plan, observed: &[Metered<'_>]) -> (Vec<StepId>, usize) {
    let key = |from: Spot, to: Spot, setting: Setting| match setting {
        Setting::Ohms => (from.min(to), from.max(to), false),
        Setting::Diode => (from, to, true),
    };
    let (on_strip, alone): (Vec<&Metered<'_>>, Vec<_>) = observed.iter().partition(|reading| reading.strip.is_some());
    let taken: BTreeSet<(Spot, Spot, bool)> =
        alone.into_iter().map(|reading| key(reading.from, reading.to, reading.setting)).collect();
    let on_strip: BTreeSet<Spot> = on_strip.into_iter().map(|reading| reading.from).collect();
    let on_strip_of: BTreeMap<Spot, Spot> = plan.strip.order().iter().map(|spot| (rig.nets.of(*spot), *spot)).collect();
    let was_apart = |from: Spot, to: Spot| {
        let [one, other] = [from, to].map(|spot| on_strip_of.get(&rig.nets.of(spot)));
        let (Some(one), Some(other)) = (one, other) else { return false };
        [(one, other), (other, one)]
            .into_iter()
            .any(|(one, other)| on_strip.contains(one) && plan.strip.is_before(rig, *one, *other))
    };
    let (mut missing, mut strip) = (Vec::new(), 0);
    for (id, step) in plan.steps.iter() {
        match step.purpose {
            Purpose::Strip => strip += usize::from(!on_strip.contains(&step.from)),
            _ if taken.contains(&key(step.from, step.to, step.setting)) => {}
            Purpose::Apart if was_apart(step.from, step.to) => {}
            Purpose::Apart | Purpose::Joined | Purpose::Resistor | Purpose::Forward | Purpose::Backward => missing.push(id),
        }
    }
    (missing, strip)
}
