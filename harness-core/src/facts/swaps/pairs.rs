//! All pairs of connectors that fit each other's place, those of equal signatures judged once.

use super::{
    Linked, Swaps,
    halves::{Half, Plug, PlugId, Tie},
    judge::{Four, Insertion, Judge, Verdict},
    keys::{Code, Keys},
    meet::{Effect, Grade},
    spots::{KindId, Spot},
};
use crate::model::{Model, ZoneId};
use rustc_hash::FxHashMap;

/// Two connectors of which at least one half fits a half of the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// The one that comes first in the design.
    pub first: PlugId,
    /// The other one.
    pub second: PlugId,
    /// What the swap does, at its worst.
    pub verdict: Verdict,
}

/// How many pairs were compared, and what came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Pairs that fit and can reach each other.
    pub pairs: usize,
    /// Pairs that fit and are out of each other's reach, by their zones or free lengths.
    pub apart: usize,
    /// Pairs of one family and number of positions that keys keep apart.
    pub keyed: usize,
    /// Pairs after which nothing changes.
    pub harmless: usize,
    /// Pairs after which something does not work.
    pub mixed: usize,
    /// Pairs that could not be judged, because a fact is missing.
    pub unjudged: usize,
    /// Pairs that damage something.
    pub damage: usize,
    /// Dangerous pairs.
    pub danger: usize,
}

impl Counts {
    fn add(&mut self, grade: Grade) {
        self.pairs += 1;
        *match grade {
            Grade::Harmless => &mut self.harmless,
            Grade::Mixed => &mut self.mixed,
            Grade::Unjudged => &mut self.unjudged,
            Grade::Damage => &mut self.damage,
            Grade::Danger => &mut self.danger,
        } += 1;
    }
}

/// What is behind the positions of both halves, that with sockets first.
pub type Sides = [Vec<Spot>; 2];

/// What decides a verdict but for whether the same things meet: keys, zones, and what is behind each position.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Class {
    keys: [Option<Code>; 2],
    zones: Vec<ZoneId>,
    ties: Vec<Option<Tie>>,
    sides: [Vec<(KindId, u16)>; 2],
}

impl Swaps {
    /// Goes through all pairs of connectors that fit each other with these keys and can reach each other, in the order of the families.
    ///
    /// Cost: a look at each pair of different signatures, and a cheaper one at each pair.
    pub fn each_pair(&self, model: &Model, keys: &Keys, mut visit: impl FnMut(Pair)) -> Counts {
        let mut counts = Counts::default();
        let judge = Judge::new(model);
        for members in self.fits() {
            let classes = self.classes(members, keys);
            for (at, own) in classes.iter().enumerate() {
                for (other_at, other) in classes.iter().enumerate().skip(at) {
                    self.of_classes(&judge, keys, [own, other], at == other_at, &mut counts, &mut visit);
                }
            }
        }
        counts
    }

    /// The connectors of one fit, those together that no verdict distinguishes but by what is the same thing; in the order of the design.
    fn classes(&self, members: &[PlugId], keys: &Keys) -> Vec<Vec<PlugId>> {
        let mut numbers: FxHashMap<Class, usize> = FxHashMap::default();
        let mut classes: Vec<Vec<PlugId>> = Vec::new();
        for id in members {
            let plug = self.plug(*id);
            let side = |half: usize| {
                let spots = self.spots(*id).and_then(|sides| sides.get(half));
                spots.map(|spots| spots.iter().map(|spot| (spot.kind, spot.lump)).collect()).unwrap_or_default()
            };
            let code = |half: &Option<Half>| half.as_ref().and_then(|half| keys.of(*id, half));
            let class = Class {
                keys: [code(&plug.socket), code(&plug.pin)],
                zones: plug.zones.clone(),
                ties: plug.ties.clone(),
                sides: [side(0), side(1)],
            };
            let number = *numbers.entry(class).or_insert(classes.len());
            match classes.get_mut(number) {
                Some(class) => class.push(*id),
                None => classes.push(vec![*id]),
            }
        }
        classes
    }

    fn of_classes(
        &self,
        judge: &Judge<'_>,
        keys: &Keys,
        [own, other]: [&Vec<PlugId>; 2],
        is_same: bool,
        counts: &mut Counts,
        visit: &mut impl FnMut(Pair),
    ) {
        let (Some(first), Some(second)) = (own.first(), if is_same { own.get(1) } else { other.first() }) else { return };
        let count = if is_same { own.len() * (own.len() - 1) / 2 } else { own.len() * other.len() };
        if !self.joins(keys, *first, *second) {
            counts.keyed += count;
            return;
        }
        if !self.ways.reach(self.plug(*first), self.plug(*second)) {
            counts.apart += count;
            return;
        }
        // The first two are judged for all of their classes, unless it depends on what is the same thing, or one hangs behind the other.
        let common = self.of_sides(judge, keys, (*first, self.spots(*first)), (*second, self.spots(*second)), &[]);
        let common = common.filter(|verdict| !matches!(verdict.effect, Effect::Same | Effect::Swapped));
        for (at, one) in own.iter().enumerate() {
            for its in other.iter().skip(if is_same { at + 1 } else { 0 }) {
                let pair = (*one.min(its), *one.max(its));
                let of = |id: PlugId| if id == *first { *one } else { *its };
                let verdict = match common.filter(|_| !self.linked.contains_key(&pair)) {
                    Some(verdict) => {
                        let Insertion { socket, pin } = verdict.insertion;
                        Some(Verdict { insertion: Insertion { socket: of(socket), pin: of(pin) }, ..verdict })
                    }
                    None => self.judged(judge, keys, pair.0, pair.1),
                };
                if let Some(verdict) = verdict {
                    counts.add(verdict.grade);
                    visit(Pair { first: pair.0, second: pair.1, verdict });
                }
            }
        }
    }

    /// Whether a half of the one joins a half of the other.
    fn joins(&self, keys: &Keys, first: PlugId, second: PlugId) -> bool {
        let (one, other) = (self.plug(first), self.plug(second));
        let join = |id: PlugId, socket: &Plug, its: PlugId, pin: &Plug| {
            socket.socket.as_ref().zip(pin.pin.as_ref()).is_some_and(|(socket, pin)| keys.join(id, socket, its, pin))
        };
        join(first, one, second, other) || join(second, other, first, one)
    }

    /// What a swap of two connectors does, if they fit and can reach each other.
    #[must_use]
    pub fn pair(&self, model: &Model, keys: &Keys, first: PlugId, second: PlugId) -> Option<Pair> {
        let (first, second) = (first.min(second), first.max(second));
        let (one, other) = (self.plug(first), self.plug(second));
        if first == second || one.fit != other.fit || !self.ways.reach(one, other) {
            return None;
        }
        Some(Pair { first, second, verdict: self.judged(&Judge::new(model), keys, first, second)? })
    }

    fn judged(&self, judge: &Judge<'_>, keys: &Keys, first: PlugId, second: PlugId) -> Option<Verdict> {
        match self.linked.get(&(first, second)) {
            Some(Linked { sides: [one, other], ties }) => {
                self.of_sides(judge, keys, (first, Some(one)), (second, Some(other)), ties)
            }
            None => self.of_sides(judge, keys, (first, self.spots(first)), (second, self.spots(second)), &[]),
        }
    }

    fn of_sides(
        &self,
        judge: &Judge<'_>,
        keys: &Keys,
        one: (PlugId, Option<&Sides>),
        other: (PlugId, Option<&Sides>),
        ties: &[[(usize, usize); 2]],
    ) -> Option<Verdict> {
        let put = |(id, own): (PlugId, Option<&Sides>), (its, other): (PlugId, Option<&Sides>)| {
            let (socket, pin) = (self.plug(id).socket.as_ref()?, self.plug(its).pin.as_ref()?);
            if !keys.join(id, socket, its, pin) {
                return None;
            }
            let ([own, mate], [others_mate, other]) = (own?, other?);
            // Half and place of the moved half first, whichever of the two connectors comes first.
            let of_these = ties.iter().map(|[first, second]| if id < its { (first, second) } else { (second, first) });
            let ties: Vec<(usize, usize)> = of_these
                .filter(|((half, _), (other, _))| (*half, *other) == (0, 1))
                .map(|((_, at), (_, meets))| (*at, *meets))
                .collect();
            let four = Four { own, mate, other, others_mate };
            judge.insertion(&self.kinds, four, &ties, Insertion { socket: id, pin: its }, Some)
        };
        match (put(one, other), put(other, one)) {
            (Some(there), Some(back)) => Some(if back.outranks(&there) { back } else { there }),
            (there, back) => there.or(back),
        }
    }
}
