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

/// Which two positions a verdict is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Between {
    /// One of the half that is moved and the one that meets it.
    Both,
    /// Two of the half that is moved, which what is behind the other half joins.
    Moved,
    /// Two of the other half, which what is behind the moved one joins.
    Other,
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
    /// The other position.
    pub meets: usize,
    /// Which halves the two are of.
    pub between: Between,
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

    /// What `four.own` on `four.other` does, position `at` of the one on `order(at)` of the other; `None` where they meet nowhere. Each of
    /// `ties` is a position of the one that something behind it joins to one of the other.
    pub(super) fn insertion(
        &self,
        kinds: &Kinds,
        four: Four<'_>,
        ties: &[(usize, usize)],
        insertion: Insertion,
        order: impl Fn(usize) -> Option<usize>,
    ) -> Option<Verdict> {
        let mut worst: Option<Verdict> = None;
        let mut note = |effect: Effect, is_class_b: bool, (between, at, meets): (Between, usize, usize)| {
            let verdict = Verdict { grade: effect.grade(is_class_b), effect, insertion, at, meets, between };
            if worst.as_ref().is_none_or(|worst| verdict.outranks(worst)) {
                worst = Some(verdict);
            }
        };
        let mut take = |effect, is_class_b, at, meets| note(effect, is_class_b, (Between::Both, at, meets));
        // Of each pole whether it minds; of the plus also whether it is of class B, and where it meets what.
        let mut plus: Option<(bool, bool, usize, usize)> = None;
        let mut minus: Option<(bool, usize)> = None;
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
            let is_alike =
                mate.is_some_and(|mate| mate.kind == other.kind) || others_mate.is_some_and(|its| its.kind == own.kind);
            if is_alike {
                let is_same = is_same(kinds, own, mate, other, others_mate);
                take(if is_same { Effect::Same } else { Effect::Swapped }, false, at, meets);
                continue;
            }
            let meeting = self.meeting(kinds, own.kind, other.kind);
            // What the design does already at one of the two is a fault of its own.
            let now = [mate.map(|mate| (own, mate)), others_mate.map(|its| (its, other))];
            let is_known = |(one, two): (&Spot, &Spot)| {
                let known = self.meeting(kinds, one.kind, two.kind);
                known.effect == meeting.effect && known.is_class_b == meeting.is_class_b
            };
            if meeting.effect.grade(meeting.is_class_b) > Grade::Mixed && now.into_iter().flatten().any(is_known) {
                take(Effect::Swapped, false, at, meets);
                continue;
            }
            match meeting.backwards {
                Some((Pole::Plus, minds)) => {
                    plus = Some((plus.is_some_and(|(known, ..)| known) | minds, meeting.is_class_b, at, meets))
                }
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
        // What a place of the moved half meets is joined, through a line between the two plugs, to what is put on the place of the other.
        for (at, meets) in ties {
            let put_on = (0..four.own.len()).find(|own| order(*own) == Some(*meets));
            let (Some(own), Some(other)) = (put_on, order(*at)) else { continue };
            let two = four.own.get(own).zip(four.other.get(other));
            let Some((one, two)) = two.filter(|_| own != *at) else { continue };
            let meeting = self.meeting(kinds, one.kind, two.kind);
            // A line that is wrong as it is, is a fault of its own.
            let now = four.own.iter().zip(four.mate).chain(four.other.iter().zip(four.others_mate));
            let mut known = now.map(|(one, other)| self.meeting(kinds, one.kind, other.kind));
            if !known.any(|known| known.effect == meeting.effect && known.is_class_b == meeting.is_class_b) {
                note(meeting.effect, meeting.is_class_b, (Between::Both, own, other));
            }
        }
        if has_lumps {
            for Joined { two, now, place } in joined(four, &order) {
                let meeting = self.meeting(kinds, two.0, two.1);
                let is_known = now.is_some_and(|(one, other)| self.meeting(kinds, one, other) == meeting);
                if !is_known {
                    note(meeting.effect, meeting.is_class_b, place);
                }
            }
        }
        worst
    }
}

/// Two positions that what is behind one of the halves joins.
struct Joined {
    two: (KindId, KindId),
    /// What the same joins in the design.
    now: Option<(KindId, KindId)>,
    place: (Between, usize, usize),
}

/// The positions that what is behind one of the halves joins, where the design does not join the same two.
fn joined(four: Four<'_>, order: &impl Fn(usize) -> Option<usize>) -> Vec<Joined> {
    let met: Vec<(usize, usize, &Spot, &Spot)> = four
        .own
        .iter()
        .enumerate()
        .filter_map(|(at, own)| {
            let meets = order(at)?;
            Some((at, meets, own, four.other.get(meets)?))
        })
        .collect();
    let is_lump = |one: Option<&Spot>, other: Option<&Spot>| match (one, other) {
        (Some(one), Some(other)) => one.lump != 0 && one.lump == other.lump,
        _ => false,
    };
    let mut found = Vec::new();
    for (at, meets, own, other) in &met {
        for (its_at, its_meets, its_own, its_other) in &met {
            // Each two of them once.
            if at >= its_at {
                continue;
            }
            // What the other half joins of the moved one, unless the mate of that joins it too; and the other way round.
            if is_lump(Some(other), Some(its_other)) && !is_lump(four.mate.get(*at), four.mate.get(*its_at)) {
                let now = four.others_mate.get(*meets).zip(four.others_mate.get(*its_meets));
                let now = now.map(|(one, other)| (one.kind, other.kind));
                found.push(Joined { two: (own.kind, its_own.kind), now, place: (Between::Moved, *at, *its_at) });
            }
            if is_lump(Some(own), Some(its_own)) && !is_lump(four.others_mate.get(*meets), four.others_mate.get(*its_meets)) {
                let now = four.mate.get(*at).zip(four.mate.get(*its_at)).map(|(one, other)| (one.kind, other.kind));
                found.push(Joined { two: (other.kind, its_other.kind), now, place: (Between::Other, *meets, *its_meets) });
            }
        }
    }
    found
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
