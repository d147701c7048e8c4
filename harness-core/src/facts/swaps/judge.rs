//! What putting one half on another does: the meetings of their positions put together, against what the design has there now.
//!
//! A meeting of the same two signatures as in the design is nothing new: so whatever is written of roles, two plugs that are alike cause no alarm.

use super::{
    halves::PlugId,
    meet::{Effect, Grade, Meeting, meet},
    poles::Pole,
    spots::{KindId, Kinds, Spot},
};
use crate::model::Model;
use rustc_hash::FxHashMap;
use std::cell::RefCell;

/// Which half goes where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Insertion {
    /// The connector whose half with sockets is moved.
    pub socket: PlugId,
    /// The connector whose half with pins takes it.
    pub pin: PlugId,
}

/// What a swap does, at its worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdict {
    /// How much it matters.
    pub grade: Grade,
    /// What happens.
    pub effect: Effect,
    /// Which half goes where.
    pub insertion: Insertion,
    /// The position at which it happens, in the order that all halves of a fit share.
    pub at: usize,
    /// The position of the other half that meets it; another one where the half is turned or shifted, or where something joins two positions.
    pub meets: usize,
}

impl Verdict {
    /// Whether it is worse than another one.
    #[must_use]
    pub fn outranks(&self, other: &Self) -> bool {
        (self.grade, self.effect) > (other.grade, other.effect)
    }
}

/// What the two halves of one insertion are, and what each meets in the design.
#[derive(Debug, Clone, Copy)]
pub(super) struct Four<'s> {
    /// The half that is moved.
    pub own: &'s [Spot],
    /// What it meets in the design; empty where it mates nothing.
    pub mate: &'s [Spot],
    /// The half that it is put on.
    pub other: &'s [Spot],
    /// What that one meets in the design.
    pub others_mate: &'s [Spot],
}

/// Judges meetings, each pair of signatures once.
pub(super) struct Judge<'a> {
    model: &'a Model,
    known: RefCell<FxHashMap<(KindId, KindId), Meeting>>,
}

impl<'a> Judge<'a> {
    pub(super) fn new(model: &'a Model) -> Self {
        Self { model, known: RefCell::default() }
    }

    fn meeting(&self, kinds: &Kinds, one: KindId, other: KindId) -> Meeting {
        let key = (one.min(other), one.max(other));
        if let Some(known) = self.known.borrow().get(&key) {
            return *known;
        }
        let nothing = Meeting { effect: Effect::Same, backwards: None, is_class_b: false };
        let found = kinds.get(one).zip(kinds.get(other)).map_or(nothing, |(one, other)| meet(self.model, one, other));
        self.known.borrow_mut().insert(key, found);
        found
    }

    /// What `four.own` on `four.other` does, position `at` of the one on `order(at)` of the other; `None` where they meet nowhere.
    pub(super) fn insertion(
        &self,
        kinds: &Kinds,
        four: Four<'_>,
        insertion: Insertion,
        order: impl Fn(usize) -> Option<usize>,
    ) -> Option<Verdict> {
        let mut worst: Option<Verdict> = None;
        let mut take = |effect: Effect, is_class_b: bool, at: usize, meets: usize| {
            let verdict = Verdict { grade: effect.grade(is_class_b), effect, insertion, at, meets };
            if worst.as_ref().is_none_or(|worst| verdict.outranks(worst)) {
                worst = Some(verdict);
            }
        };
        let (mut plus, mut minus): (Option<(bool, bool, usize, usize)>, Option<(bool, usize)>) = (None, None);
        let mut has_lumps = false;
        for (at, own) in four.own.iter().enumerate() {
            let Some(meets) = order(at) else { continue };
            let Some(other) = four.other.get(meets) else { continue };
            has_lumps |= own.lump != 0 || other.lump != 0;
            let (mate, others_mate) = (four.mate.get(at), four.others_mate.get(meets));
            if own.point == other.point || mate.is_some_and(|mate| mate.point == other.point) {
                take(Effect::Same, false, at, meets);
                continue;
            }
            if let (Some(here), Some(there)) = (tap(kinds, mate), tap(kinds, Some(other)))
                && here != there
            {
                take(Effect::Taps, false, at, meets);
                continue;
            }
            let is_alike = mate.is_some_and(|mate| mate.kind == other.kind) || others_mate.is_some_and(|its| its.kind == own.kind);
            if is_alike {
                let is_same = is_same(kinds, own, mate, other, others_mate);
                take(if is_same { Effect::Same } else { Effect::Swapped }, false, at, meets);
                continue;
            }
            let meeting = self.meeting(kinds, own.kind, other.kind);
            match meeting.backwards {
                Some((Pole::Plus, minds)) => plus = Some((plus.is_some_and(|(known, ..)| known) | minds, meeting.is_class_b, at, meets)),
                Some((Pole::Minus, minds)) => minus = Some((minus.is_some_and(|(known, _)| known) | minds, at)),
                None => {}
            }
            let effect = match meeting.effect {
                Effect::Swapped if is_same(kinds, own, mate, other, others_mate) => Effect::Same,
                effect => effect,
            };
            take(effect, meeting.is_class_b, at, meets);
        }
        if let (Some((plus_minds, is_class_b, at, meets)), Some((minus_minds, _))) = (plus, minus) {
            let effect = if plus_minds || minus_minds { Effect::Reversed } else { Effect::Backwards };
            take(effect, is_class_b, at, meets);
        }
        if has_lumps && let Some((is_unfused, is_class_b, at, meets)) = self.joined(kinds, four, &order) {
            take(Effect::Short { is_unfused }, is_class_b, at, meets);
        }
        worst
    }

    /// A plus and a minus that what is behind two positions joins: whether the plus is unfused, whether it is of class B, and where both are.
    fn joined(
        &self,
        kinds: &Kinds,
        four: Four<'_>,
        order: &impl Fn(usize) -> Option<usize>,
    ) -> Option<(bool, bool, usize, usize)> {
        let met: Vec<(usize, &Spot, &Spot)> =
            four.own.iter().enumerate().filter_map(|(at, own)| Some((at, own, four.other.get(order(at)?)?))).collect();
        // Positions that are one by a lump of either side; few, so each takes the number of the first that it is joined to.
        let mut group: Vec<usize> = (0..met.len()).collect();
        let is_joined = |one: &(usize, &Spot, &Spot), other: &(usize, &Spot, &Spot)| {
            one.1.lump != 0 && one.1.lump == other.1.lump || one.2.lump != 0 && one.2.lump == other.2.lump
        };
        let mut changed = true;
        while changed {
            changed = false;
            for (first, one) in met.iter().enumerate() {
                for (second, other) in met.iter().enumerate().skip(first + 1) {
                    let (own, its) = (group.get(first).copied()?, group.get(second).copied()?);
                    if own != its && is_joined(one, other) {
                        let (least, most) = (own.min(its), own.max(its));
                        group.iter_mut().filter(|number| **number == most).for_each(|number| *number = least);
                        changed = true;
                    }
                }
            }
        }
        let pole = |spot: &Spot| kinds.get(spot.kind).and_then(|kind| kind.pole.map(|pole| (pole, kind)));
        for (first, one) in met.iter().enumerate() {
            for (second, other) in met.iter().enumerate() {
                if first == second || group.get(first) != group.get(second) {
                    continue;
                }
                let is = |spot: &Spot, wanted: Pole| pole(spot).filter(|(pole, _)| *pole == wanted).map(|(_, kind)| kind);
                let plus = is(one.1, Pole::Plus).or_else(|| is(one.2, Pole::Plus));
                let minus = is(other.1, Pole::Minus).or_else(|| is(other.2, Pole::Minus));
                // Both of one half, and joined by that half alone: the design has it so.
                let is_own = is(one.1, Pole::Plus).is_some() && is(other.1, Pole::Minus).is_some() && one.1.lump != 0 && one.1.lump == other.1.lump;
                let is_its = is(one.2, Pole::Plus).is_some() && is(other.2, Pole::Minus).is_some() && one.2.lump != 0 && one.2.lump == other.2.lump;
                if let (Some(plus), Some(_)) = (plus, minus.filter(|_| !is_own && !is_its)) {
                    let is_class_b = plus.domain().is_some_and(|domain| self.model[domain].is_class_b());
                    return Some((plus.is_unfused, is_class_b, one.0, other.0));
                }
            }
        }
        None
    }
}

fn tap(kinds: &Kinds, spot: Option<&Spot>) -> Option<u32> {
    kinds.get(spot?.kind)?.tap
}

/// Whether the same things meet as in the design: the same conductors at one of the two, or the same signal.
fn is_same(kinds: &Kinds, own: &Spot, mate: Option<&Spot>, other: &Spot, others_mate: Option<&Spot>) -> bool {
    let is_empty = |spot: &Spot| kinds.get(spot.kind).is_some_and(|kind| kind.is_empty);
    if is_empty(own) && is_empty(other) {
        return true;
    }
    let same_net = |one: Option<&Spot>, other: &Spot| one.is_some_and(|one| one.net == other.net);
    if same_net(mate, other) || same_net(others_mate, own) {
        return true;
    }
    // Names at what drives decide before those at what is driven, which a device kind may write once for several devices.
    let names = [(Some(own), others_mate), (mate, Some(other))];
    let named = names.into_iter().find_map(|(one, other)| Some((one?.signal?, other?.signal?)));
    if let Some((one, other)) = named {
        return one == other;
    }
    // Feeds that are always on, and loads that are alike.
    let (Some(kind), Some(its)) = (kinds.get(own.kind), kinds.get(other.kind)) else { return false };
    let is_alike = mate.is_some_and(|mate| mate.kind == other.kind) && others_mate.is_some_and(|its| its.kind == own.kind);
    let is_steady = |kind: &super::spots::Kind| kind.pole.is_some() && !kind.is_switched;
    let has_load = |kind: &super::spots::Kind| !kind.loads.is_empty();
    is_alike && (is_steady(kind) && (has_load(its) || is_steady(its)) || is_steady(its) && has_load(kind))
}
