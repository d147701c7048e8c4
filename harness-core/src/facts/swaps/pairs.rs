//! All pairs of connectors that fit each other's place, those of equal signatures judged once.

use super::{
    Linked, Swaps,
    halves::{Half, PlugId, Tie},
    judge::{Four, Insertion, Judge, Verdict},
    keys::{Code, Keys},
    meet::{Effect, Grade},
    spots::{KindId, Spot},
};
use crate::model::{Model, ZoneId};
use rustc_hash::{FxHashMap, FxHashSet};

/// Two connectors of which at least one half fits a half of the other, and what the swap does at its worst: `Swaps::verdict` says where.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// The one that comes first in the design.
    pub first: PlugId,
    /// The other one.
    pub second: PlugId,
    /// How much it matters.
    pub grade: Grade,
    /// What happens.
    pub effect: Effect,
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
    fn add(&mut self, grade: Grade, pairs: usize) {
        self.pairs += pairs;
        *match grade {
            Grade::Harmless => &mut self.harmless,
            Grade::Mixed => &mut self.mixed,
            Grade::Unjudged => &mut self.unjudged,
            Grade::Damage => &mut self.damage,
            Grade::Danger => &mut self.danger,
        } += pairs;
    }
}

/// What is behind the positions of both halves, that with sockets first.
pub type Sides = [Vec<Spot>; 2];

/// What one half on another does; `None` where there are no two such halves.
type Outcome = Option<(Grade, Effect)>;

/// What the halves with sockets of either of two connectors do on those with pins of the other; `None` where they can't reach each other.
type Both = Option<[Outcome; 2]>;

/// What decides a verdict, whatever the keys, but for whether the same things meet: where it is, and what is behind each position.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Likeness {
    zones: Vec<ZoneId>,
    ties: Vec<Option<Tie>>,
    sides: [Vec<(KindId, u16)>; 2],
}

/// Connectors that no verdict distinguishes but by keys and by what is the same thing.
#[derive(Debug, Default)]
struct Class {
    members: Vec<PlugId>,
    /// One of them hangs behind another connector of its fit.
    is_linked: bool,
}

/// The connectors of one fit by class, and what a swap of the first ones of each two classes does.
#[derive(Debug)]
pub(super) struct Table {
    classes: Vec<Class>,
    /// Of each class with itself and those after it, in rows; empty where there are too many to keep.
    both: Vec<Both>,
}

/// Classes of a fit up to which what each two do is kept: 32 million pairs of classes.
const MOST_KEPT: usize = 8_000;

impl Table {
    /// The place of two classes, the second not before the first.
    fn place(&self, one: usize, other: usize) -> usize {
        one * (2 * self.classes.len() - one + 1) / 2 + (other - one)
    }
}

/// Connectors of one class with the same keys.
struct Keyed {
    keys: [Option<Code>; 2],
    members: Vec<PlugId>,
}

/// How a pass over all pairs is made.
struct Pass<'p> {
    judge: Judge<'p>,
    keys: &'p Keys,
    /// The least grade that is visited.
    least: Grade,
    /// Pairs that are not visited are counted as well.
    is_counted: bool,
}

impl Swaps {
    /// Goes through all pairs of connectors that fit each other with these keys and can reach each other, in no stated order, and counts them.
    ///
    /// Cost: a look at each two classes of connectors, and a cheaper one at each pair.
    pub fn each_pair(&self, model: &Model, keys: &Keys, visit: impl FnMut(Pair)) -> Counts {
        self.pass(&Pass { judge: Judge::new(model), keys, least: Grade::Harmless, is_counted: true }, visit)
    }

    /// Goes through those pairs alone that are as severe as `least`.
    ///
    /// Cost: a look at each two classes of connectors, and at each pair that is visited.
    pub fn each_of(&self, model: &Model, keys: &Keys, least: Grade, visit: impl FnMut(Pair)) {
        self.pass(&Pass { judge: Judge::new(model), keys, least, is_counted: false }, visit);
    }

    fn pass(&self, pass: &Pass<'_>, mut visit: impl FnMut(Pair)) -> Counts {
        let mut counts = Counts::default();
        for table in self.tables(&pass.judge) {
            let keyed: Vec<Vec<Keyed>> = table.classes.iter().map(|class| self.by_keys(&class.members, pass.keys)).collect();
            for (at, (own, own_keyed)) in table.classes.iter().zip(&keyed).enumerate() {
                for (other_at, (other, other_keyed)) in table.classes.iter().zip(&keyed).enumerate().skip(at) {
                    let both = match table.both.get(table.place(at, other_at)) {
                        Some(known) => *known,
                        None => self.of_two(&pass.judge, own, other),
                    };
                    let is_linked = own.is_linked && other.is_linked;
                    // What is found for the first two is then found for all that there are.
                    let is_alone = own.members.len() == 1 && other.members.len() == 1;
                    for (its, one) in own_keyed.iter().enumerate() {
                        // Within one class each two groups once.
                        let others = other_keyed.iter().enumerate().skip(if at == other_at { its } else { 0 });
                        for (place, two) in others {
                            let is_same = at == other_at && its == place;
                            self.of_groups(pass, [one, two], (is_same, is_linked, is_alone), both, &mut counts, &mut visit);
                        }
                    }
                }
            }
        }
        counts
    }

    /// What each fit's classes do to each other, found once.
    fn tables(&self, judge: &Judge<'_>) -> &[Table] {
        self.tables.get_or_init(|| {
            let table = |members: &[PlugId]| {
                let classes = self.classes(members);
                let mut both = Vec::new();
                if classes.len() <= MOST_KEPT {
                    both.reserve(classes.len() * (classes.len() + 1) / 2);
                    for (at, own) in classes.iter().enumerate() {
                        both.extend(classes.iter().skip(at).map(|other| self.of_two(judge, own, other)));
                    }
                }
                Table { classes, both }
            };
            self.fits().map(table).collect()
        })
    }

    /// The connectors of one fit by class, in the order of the design.
    fn classes(&self, members: &[PlugId]) -> Vec<Class> {
        let linked: FxHashSet<PlugId> = self.linked.keys().flat_map(|(one, other)| [*one, *other]).collect();
        let mut numbers: FxHashMap<Likeness, usize> = FxHashMap::default();
        let mut classes: Vec<Class> = Vec::new();
        for id in members {
            let plug = self.plug(*id);
            let side = |half: usize| {
                let spots = self.spots(*id).and_then(|sides| sides.get(half));
                spots.map(|spots| spots.iter().map(|spot| (spot.kind, spot.lump)).collect()).unwrap_or_default()
            };
            let likeness = Likeness { zones: plug.zones.clone(), ties: plug.ties.clone(), sides: [side(0), side(1)] };
            let number = *numbers.entry(likeness).or_insert(classes.len());
            if number == classes.len() {
                classes.push(Class::default());
            }
            let Some(class) = classes.get_mut(number) else { continue };
            class.members.push(*id);
            class.is_linked |= linked.contains(id);
        }
        classes
    }

    /// The connectors of one class by their keys.
    fn by_keys(&self, members: &[PlugId], keys: &Keys) -> Vec<Keyed> {
        let mut groups: Vec<Keyed> = Vec::new();
        for id in members {
            let plug = self.plug(*id);
            let code = |half: &Option<Half>| half.as_ref().and_then(|half| keys.of(*id, half));
            let own = [code(&plug.socket), code(&plug.pin)];
            match groups.iter_mut().find(|group| group.keys == own) {
                Some(group) => group.members.push(*id),
                None => groups.push(Keyed { keys: own, members: vec![*id] }),
            }
        }
        groups
    }

    /// What a swap of the first two of two classes does, or of one, whatever their keys.
    fn of_two(&self, judge: &Judge<'_>, own: &Class, other: &Class) -> Both {
        let first = own.members.first()?;
        // A class of one is in no pair with itself; what is said of it is not asked for.
        let second = if std::ptr::eq(own, other) { own.members.get(1) } else { other.members.first() }?;
        if !self.ways.reach(self.plug(*first), self.plug(*second)) {
            return None;
        }
        Some(self.of_sides(judge, (*first, self.spots(*first)), (*second, self.spots(*second)), &[]).map(|verdict| {
            let verdict = verdict?;
            Some((verdict.grade, verdict.effect))
        }))
    }

    fn of_groups(
        &self,
        pass: &Pass<'_>,
        [own, other]: [&Keyed; 2],
        (is_same, is_linked, is_alone): (bool, bool, bool),
        both: Both,
        counts: &mut Counts,
        visit: &mut impl FnMut(Pair),
    ) {
        let (Some(first), Some(second)) = (own.members.first(), other.members.get(usize::from(is_same))) else { return };
        let count =
            if is_same { own.members.len() * (own.members.len() - 1) / 2 } else { own.members.len() * other.members.len() };
        let joins = self.joins(pass.keys, *first, *second);
        if joins == [false, false] {
            counts.keyed += count;
            return;
        }
        let Some(both) = both else {
            counts.apart += count;
            return;
        };
        let Some((grade, effect)) = worse(both, joins) else { return };
        // What is found for the first two holds for all, unless it depends on what is the same thing, or one hangs behind the other.
        let is_common = !matches!(effect, Effect::Same | Effect::Swapped) || is_alone;
        if !is_linked && grade < pass.least && (is_common || !pass.is_counted && pass.least > Grade::Mixed) {
            counts.add(grade, count);
            return;
        }
        for (at, one) in own.members.iter().enumerate() {
            for its in other.members.iter().skip(if is_same { at + 1 } else { 0 }) {
                let (first, second) = (*one.min(its), *one.max(its));
                let is_as_common = is_common && !(is_linked && self.linked.contains_key(&(first, second)));
                let own = || self.judged(&pass.judge, pass.keys, first, second).map(|verdict| (verdict.grade, verdict.effect));
                let Some((grade, effect)) = is_as_common.then_some((grade, effect)).or_else(own) else { continue };
                counts.add(grade, 1);
                if grade >= pass.least {
                    visit(Pair { first, second, grade, effect });
                }
            }
        }
    }

    /// Whether the half with sockets of the first joins that with pins of the second, and the other way round.
    fn joins(&self, keys: &Keys, first: PlugId, second: PlugId) -> [bool; 2] {
        let join = |id: PlugId, its: PlugId| {
            self.plug(id)
                .socket
                .as_ref()
                .zip(self.plug(its).pin.as_ref())
                .is_some_and(|(socket, pin)| keys.join(id, socket, its, pin))
        };
        [join(first, second), join(second, first)]
    }

    /// What a swap of two connectors does, if they fit and can reach each other.
    #[must_use]
    pub fn pair(&self, model: &Model, keys: &Keys, first: PlugId, second: PlugId) -> Option<Pair> {
        let (first, second) = (first.min(second), first.max(second));
        let (one, other) = (self.plug(first), self.plug(second));
        if first == second || one.fit != other.fit || !self.ways.reach(one, other) {
            return None;
        }
        let Verdict { grade, effect, .. } = self.judged(&Judge::new(model), keys, first, second)?;
        Some(Pair { first, second, grade, effect })
    }

    /// The connectors of a pair without a zone, where nothing else says that the two reach each other: they are taken to.
    #[must_use]
    pub fn taken_near(&self, pair: &Pair) -> Vec<PlugId> {
        let [one, other] = [pair.first, pair.second].map(|id| self.plug(id));
        let unknown = [pair.first, pair.second].into_iter().filter(|id| self.plug(*id).zones.is_empty());
        if self.ways.is_stated(one, other) { Vec::new() } else { unknown.collect() }
    }

    /// What a swap of two connectors that fit with their keys as written does, and where.
    #[must_use]
    pub fn verdict(&self, model: &Model, pair: &Pair) -> Option<Verdict> {
        self.judged(&Judge::new(model), &Keys::AsWritten, pair.first, pair.second)
    }

    fn judged(&self, judge: &Judge<'_>, keys: &Keys, first: PlugId, second: PlugId) -> Option<Verdict> {
        let both = match self.linked.get(&(first, second)) {
            Some(Linked { sides: [one, other], ties }) => self.of_sides(judge, (first, Some(one)), (second, Some(other)), ties),
            None => self.of_sides(judge, (first, self.spots(first)), (second, self.spots(second)), &[]),
        };
        let [joins_there, joins_back] = self.joins(keys, first, second);
        let [there, back] = both;
        match (there.filter(|_| joins_there), back.filter(|_| joins_back)) {
            (Some(there), Some(back)) => Some(if back.outranks(&there) { back } else { there }),
            (there, back) => there.or(back),
        }
    }

    /// What the half with sockets of the first does on that with pins of the second, and the other way round, whatever their keys.
    fn of_sides(
        &self,
        judge: &Judge<'_>,
        one: (PlugId, Option<&Sides>),
        other: (PlugId, Option<&Sides>),
        ties: &[[(usize, usize); 2]],
    ) -> [Option<Verdict>; 2] {
        let put = |(id, own): (PlugId, Option<&Sides>), (its, other): (PlugId, Option<&Sides>)| {
            (self.plug(id).socket.as_ref()?, self.plug(its).pin.as_ref()?);
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
        [put(one, other), put(other, one)]
    }
}

/// The worse of what the halves do that join.
fn worse([there, back]: [Outcome; 2], [joins_there, joins_back]: [bool; 2]) -> Outcome {
    there.filter(|_| joins_there).max(back.filter(|_| joins_back))
}
