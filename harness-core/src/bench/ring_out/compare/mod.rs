//! Measured readings against what the loom should show: what is wrong, by how well it explains all of them, and what decides between equals.

mod measured;
mod next;
mod search;
mod words;

pub use measured::MeasuredRow;
pub(super) use measured::read;
pub(super) use words::sentence;

use super::{
    bare::Spot,
    meter::Meter,
    plan::Plan,
    planned::{Purpose, StepId},
    reading::{Reading, Setting},
    rig::Rig,
    slip::Slip,
};
use next::next_reading;
use search::{Explanation, Search};
use std::collections::{BTreeMap, BTreeSet};

/// Explanations of another kind that are shown beside the likeliest one.
const MOST_OTHERS: usize = 3;
/// By how much odder than the likeliest they may be.
const ODDER: f64 = 0.5;

/// A reading that was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Observed<'p> {
    pub(super) from: Spot,
    pub(super) to: Spot,
    /// Places that were clipped together where the other lead was; none where it was at `to` alone.
    pub(super) strip: &'p [Spot],
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
}

/// What readings say of a loom.
#[derive(Debug, Default)]
pub(super) struct Comparison {
    /// The readings that a sound loom does not give, by their places among those taken.
    pub(super) failing: BTreeSet<usize>,
    /// The steps of the plan that were not taken.
    pub(super) unread: Vec<StepId>,
    /// How many readings against the strip were not taken.
    pub(super) strip_unread: usize,
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
    let is_same_net = |one: Spot, other: Spot| rig.nets.of(one) == rig.nets.of(other);
    let (unread, strip_unread) = unread(plan, observed, is_same_net);
    let mut comparison = Comparison { failing: search.failing().clone(), unread, strip_unread, ..Comparison::default() };
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
        comparison.causes.push(Cause { slip: slip.clone(), equals, decides });
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

/// The steps of the plan that no reading is of. Which lead is at which end matters to diodes alone; two nets that were held apart on the strip need no
/// reading of their own.
fn unread(plan: &Plan, observed: &[Observed<'_>], is_same_net: impl Fn(Spot, Spot) -> bool) -> (Vec<StepId>, usize) {
    let key = |from: Spot, to: Spot, setting: Setting| match setting {
        Setting::Ohms => (from.min(to), from.max(to), false),
        Setting::Diode => (from, to, true),
    };
    let alone = observed.iter().filter(|reading| reading.strip.is_empty());
    let taken: BTreeSet<(Spot, Spot, bool)> = alone.map(|reading| key(reading.from, reading.to, reading.setting)).collect();
    let strips: BTreeMap<Spot, &[Spot]> =
        observed.iter().filter(|reading| !reading.strip.is_empty()).map(|reading| (reading.from, reading.strip)).collect();
    let is_on_strip = |from: Spot, to: Spot| {
        [(from, to), (to, from)].into_iter().any(|(one, other)| {
            let own = strips.iter().filter(|(root, _)| is_same_net(**root, one));
            own.flat_map(|(_, strip)| strip.iter()).any(|root| is_same_net(*root, other))
        })
    };
    let (mut missing, mut strip) = (Vec::new(), 0);
    for (id, step) in plan.steps.iter() {
        match step.purpose {
            Purpose::Strip => strip += usize::from(!strips.contains_key(&step.from)),
            _ if taken.contains(&key(step.from, step.to, step.setting)) => {}
            Purpose::Apart if is_on_strip(step.from, step.to) => {}
            Purpose::Apart | Purpose::Joined | Purpose::Resistor | Purpose::Forward | Purpose::Backward => missing.push(id),
        }
    }
    (missing, strip)
}
