//! The reading that finds a slip first, by what the slip moves, joins and cuts: the loom is built with it only where that does not decide.
//!
//! The idea: a terminal that is moved changes the readings at its two cavities alone, and the sound loom answers them for what sits there now. A contact
//! between two pieces changes no reading within either of them, and across them it is a way over that contact. A conductor that is the only way
//! between two sides of a net, cut, leaves each side as it was. So a slip costs the steps at a few places, not a loom. What is left is built: a contact
//! within a piece that has more than metal in it, a cut in a ring, a diode that is turned.

use super::{
    bare::{Join, Spot},
    meter::Meter,
    piece::Shown,
    plan::Plan,
    planned::{Planned, Purpose, StepId},
    reading::Reading,
    rig::{PieceId, Rig},
    slip::Slip,
    state::State,
};
use crate::arena::IdVec;
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

/// The first step whose reading is not as it should be with a slip in the loom, by building it.
pub(super) fn first_step(rig: &Rig, plan: &Plan, meter: &Meter, slip: &Slip) -> Option<StepId> {
    let state = State::with(rig, std::slice::from_ref(slip));
    let steps: BTreeSet<StepId> = state.touched().into_iter().flat_map(|spot| plan.at[spot].iter().copied()).collect();
    steps.into_iter().find(|id| {
        let step = &plan.steps[*id];
        state.reading_of(step, &plan.strip).is_some_and(|reading| !step.accepts(meter, reading))
    })
}

/// What a conductor is to its net.
#[derive(Debug, Clone, Copy)]
enum Cut {
    /// Its two sides hang together without it, or there is more than metal in its piece.
    Undecided,
    /// It is the only way between its two sides: the first step that has a lead at each.
    Splits(Option<StepId>),
}

/// Finds first steps in a loom; what all slips ask is gathered once.
pub(super) struct Finder<'r> {
    rig: &'r Rig,
    plan: &'r Plan,
    meter: &'r Meter,
    /// The steps between neighbours of two pieces, in their order.
    apart: FxHashMap<(PieceId, PieceId), Vec<StepId>>,
    /// The places of each piece that come to the strip, with their steps.
    on_strip: IdVec<PieceId, Vec<(Spot, Option<StepId>)>>,
    cuts: IdVec<Join, Cut>,
    /// Whether the sound loom passes every step: else a slip is blamed for what it did not do, as it is when the loom is built.
    is_sound: bool,
}

impl<'r> Finder<'r> {
    /// Cost: one walk over the loom and the plan.
    pub(super) fn new(rig: &'r Rig, plan: &'r Plan, meter: &'r Meter) -> Self {
        let mut apart: FxHashMap<(PieceId, PieceId), Vec<StepId>> = FxHashMap::default();
        let mut own_step: IdVec<Spot, Option<StepId>> = IdVec::of(None, rig.bare.spots.len());
        let mut joined: IdVec<Spot, Option<StepId>> = own_step.clone();
        let mut is_sound = true;
        for (id, step) in plan.steps.iter() {
            is_sound &= State::read(step.shown, step.setting).is_none_or(|reading| step.accepts(meter, reading));
            match step.purpose {
                Purpose::Apart => apart.entry(pair(rig, step.from, step.to)).or_default().push(id),
                Purpose::Strip => own_step[step.from] = Some(id),
                Purpose::Joined => joined[step.to] = Some(id),
                Purpose::Resistor | Purpose::Forward | Purpose::Backward => {}
            }
        }
        let mut on_strip: IdVec<PieceId, Vec<(Spot, Option<StepId>)>> = IdVec::of(Vec::new(), rig.pieces().len());
        for spot in plan.strip.order() {
            on_strip[rig.piece_of(*spot)].push((*spot, own_step[*spot]));
        }
        let mut cuts = IdVec::of(Cut::Undecided, rig.bare.joins.len());
        for piece in rig.pieces().filter(|piece| rig.is_metal(*piece)) {
            match on_strip[piece].first() {
                Some((root, _)) => split(rig, *root, &joined, &mut cuts),
                // No probe reaches it.
                None => rig.joins_of(piece).iter().for_each(|join| cuts[*join] = Cut::Splits(None)),
            }
        }
        Self { rig, plan, meter, apart, on_strip, cuts, is_sound }
    }

    /// The first step whose reading is not as it should be with a slip in the loom.
    pub(super) fn first(&self, slip: &Slip) -> Option<StepId> {
        let built = || first_step(self.rig, self.plan, self.meter, slip);
        if !self.is_sound {
            return built();
        }
        match slip {
            Slip::Unseated(spot) => self.moved(&[(*spot, None)]),
            Slip::Swapped(one, other) | Slip::Misplaced { from: one, to: other } => {
                let (low, high) = (*one.min(other), *one.max(other));
                self.moved(&[(low, Some(high)), (high, Some(low))])
            }
            Slip::Shifted { moves, .. } => {
                let mut now: Vec<(Spot, Option<Spot>)> = moves.iter().map(|(from, to)| (*to, Some(*from))).collect();
                now.sort_unstable();
                self.moved(&now)
            }
            Slip::Crowded { from, to } if self.is_decided(*from, *to) => self.joined(*from, *to, Some(*from)),
            Slip::Bridged(one, other) if self.is_decided(*one, *other) => self.joined(*one, *other, None),
            Slip::Open(join) => match self.cuts[*join] {
                Cut::Splits(first) => first,
                Cut::Undecided => built(),
            },
            Slip::Crowded { .. } | Slip::Bridged(..) | Slip::Reversed(_) | Slip::Shorted(_) => built(),
            Slip::Poor(..) | Slip::Wrong(..) | Slip::Leaky(..) | Slip::Touching(..) => built(),
        }
    }

    /// Whether a contact between two places is decided without building it: it joins two pieces, or lowers resistances of metal alone.
    fn is_decided(&self, one: Spot, other: Spot) -> bool {
        !self.rig.hang_together(one, other) || self.rig.is_metal(self.rig.piece_of(one))
    }

    /// With these cavities holding what belongs elsewhere or nothing, in the order of the cavities.
    fn moved(&self, now: &[(Spot, Option<Spot>)]) -> Option<StepId> {
        let mut first: Option<StepId> = None;
        for (cavity, content) in now.iter().filter(|(cavity, content)| *content != Some(*cavity)) {
            let earlier = self.plan.at[*cavity].iter().take_while(|id| first.is_none_or(|first| **id < first));
            let mut earlier = earlier.copied();
            let found = earlier.find(|id| {
                let step = &self.plan.steps[*id];
                let shown = if step.is_on_strip() {
                    content.map_or(Shown::Open, |content| self.shown_on_strip(now, step.from, content))
                } else {
                    self.shown(now, step.from, step.to)
                };
                self.is_wrong(step, shown)
            });
            first = found.or(first);
        }
        first
    }

    fn is_wrong(&self, step: &Planned, shown: Shown) -> bool {
        State::read(shown, step.setting).is_some_and(|reading| !step.accepts(self.meter, reading))
    }

    /// What a meter shows between two cavities.
    fn shown(&self, now: &[(Spot, Option<Spot>)], from: Spot, to: Spot) -> Shown {
        match (sits(now, from), sits(now, to)) {
            (Some(own), Some(theirs)) => self.rig.with_contacts(self.rig.shown(own, theirs), from, to),
            _ => Shown::Open,
        }
    }

    /// The same with the other lead on the strip, where `from` holds what belongs elsewhere.
    fn shown_on_strip(&self, now: &[(Spot, Option<Spot>)], from: Spot, content: Spot) -> Shown {
        let own = self.on_strip[self.rig.piece_of(content)].iter().map(|(place, _)| *place);
        let own = own.filter(|place| sits(now, *place) == Some(*place));
        let places = own.chain(now.iter().map(|(place, _)| *place));
        least(places.filter(|place| self.plan.strip.is_before(self.rig, from, *place)).map(|place| self.shown(now, from, place)))
    }

    /// With a contact between what belongs at two places, and nothing in the cavity that was left empty for it.
    fn joined(&self, one: Spot, other: Spot, empty: Option<Spot>) -> Option<StepId> {
        let is_empty = |spot: Spot| empty == Some(spot);
        let at_empty = empty.and_then(|empty| {
            let mut steps = self.plan.at[empty].iter().copied();
            steps.find(|id| !self.plan.steps[*id].accepts(self.meter, Reading::Open))
        });
        if self.rig.hang_together(one, other) {
            return at_empty;
        }
        let is_earlier = |id: StepId, first: Option<StepId>| first.is_none_or(|first| id < first);
        let between = self.apart.get(&pair(self.rig, one, other)).into_iter().flatten().copied();
        let mut between = between.filter(|id| is_earlier(*id, at_empty));
        let across = between.find(|id| {
            let step = &self.plan.steps[*id];
            let [from, to] = [step.from, step.to];
            let (from, to) = if self.rig.hang_together(from, one) { (from, to) } else { (to, from) };
            !is_empty(from) && !is_empty(to) && self.is_wrong(step, self.over(from, (one, other), to))
        });
        let mut first = across.or(at_empty);
        for (near, far) in [(one, other), (other, one)] {
            for (from, id) in &self.on_strip[self.rig.piece_of(near)] {
                let Some(id) = id.filter(|id| !is_empty(*from) && is_earlier(*id, first)) else { continue };
                let places = self.on_strip[self.rig.piece_of(far)].iter().map(|(place, _)| *place);
                let places = places.filter(|place| !is_empty(*place) && self.plan.strip.is_before(self.rig, *from, *place));
                let shown = least(places.map(|place| self.over(*from, (near, far), place)));
                if self.is_wrong(&self.plan.steps[id], shown) {
                    first = Some(id);
                }
            }
        }
        first
    }

    /// What a meter shows from a place of the one piece, over a contact, to a place of the other.
    fn over(&self, from: Spot, (near, far): (Spot, Spot), to: Spot) -> Shown {
        let rig = self.rig;
        let is_metal = [(from, near), (far, to)].iter().all(|(one, other)| rig.nets.of(*one) == rig.nets.of(*other));
        let has_vague = [near, far].iter().any(|spot| rig.has_vague(rig.piece_of(*spot)));
        if has_vague && !is_metal {
            return Shown::Vague;
        }
        match (rig.shown(from, near), rig.shown(far, to)) {
            (Shown::Ohms(before), Shown::Ohms(after)) => rig.with_contacts(Shown::Ohms(before.and(after)), from, to),
            // A diode shows nothing in ohms.
            _ => Shown::Open,
        }
    }
}

/// What sits in a cavity.
fn sits(now: &[(Spot, Option<Spot>)], cavity: Spot) -> Option<Spot> {
    let found = now.binary_search_by_key(&cavity, |(cavity, _)| *cavity).ok().and_then(|at| now.get(at));
    found.map_or(Some(cavity), |(_, content)| *content)
}

/// What a meter in ohms shows with several ways at once: the least of them decides.
fn least(ways: impl Iterator<Item = Shown>) -> Shown {
    ways.fold(Shown::Open, |least, way| match (least, way) {
        (Shown::Ohms(least), Shown::Ohms(way)) => Shown::Ohms(if way.nominal < least.nominal { way } else { least }),
        (Shown::Ohms(ohms), _) | (_, Shown::Ohms(ohms)) => Shown::Ohms(ohms),
        (Shown::Vague, _) | (_, Shown::Vague) => Shown::Vague,
        (Shown::Open | Shown::Forward(_), Shown::Open | Shown::Forward(_)) => Shown::Open,
    })
}

fn pair(rig: &Rig, one: Spot, other: Spot) -> (PieceId, PieceId) {
    let (one, other) = (rig.piece_of(one), rig.piece_of(other));
    (one.min(other), one.max(other))
}

/// A place on a walk through a net: by which conductor it was come to, when, and the earliest that is reached from there on without going back.
struct Come {
    spot: Spot,
    by: Option<Join>,
    from: usize,
    earliest: usize,
    /// The first step with a lead here or further on.
    step: Option<StepId>,
}

/// The conductors of a net of metal that are the only way between their sides. The steps of a net all have a lead at `root`, so that those with a lead
/// at each side are those with one away from it.
fn split(rig: &Rig, root: Spot, joined: &IdVec<Spot, Option<StepId>>, cuts: &mut IdVec<Join, Cut>) {
    let mut number: FxHashMap<Spot, usize> = FxHashMap::default();
    let mut walk: Vec<Come> = Vec::new();
    let mut open: Vec<(Spot, Option<Join>, usize)> = vec![(root, None, 0)];
    // A walk in depth: what was come to last is gone on from first, and a place counts from where it is come to first.
    while let Some((spot, by, from)) = open.pop() {
        if number.contains_key(&spot) {
            continue;
        }
        let at = walk.len();
        number.insert(spot, at);
        walk.push(Come { spot, by, from, earliest: at, step: joined[spot] });
        for id in &rig.joins_at[spot] {
            let join = &rig.bare.joins[*id];
            let other = if join.from == spot { join.to } else { join.from };
            if Some(*id) != by && !number.contains_key(&other) {
                open.push((other, Some(*id), at));
            }
        }
    }
    for at in (0..walk.len()).rev() {
        let Some(Come { spot, by, from, earliest, step }) = walk.get(at) else { continue };
        let (by, from, mut earliest, step) = (*by, *from, *earliest, *step);
        for id in rig.joins_at[*spot].iter().filter(|id| Some(**id) != by) {
            let join = &rig.bare.joins[*id];
            let other = if join.from == *spot { join.to } else { join.from };
            earliest = number.get(&other).copied().unwrap_or(at).min(earliest);
        }
        // What is further on has a later number and is settled: its earliest came back to here already.
        if let Some(before) = walk.get_mut(from).filter(|_| by.is_some()) {
            before.earliest = before.earliest.min(earliest);
            before.step = before.step.into_iter().chain(step).min();
        }
        if let Some(by) = by.filter(|_| earliest >= at) {
            cuts[by] = Cut::Splits(step);
        }
    }
}
