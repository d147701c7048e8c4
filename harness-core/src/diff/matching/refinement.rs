//! Colours that are refined by those of the neighbours; what alone has a colour on both sides is a pair.

use super::{
    Made,
    graph::{Graph, Mention},
};
use crate::diff::inventory::{FactKey, Item, Kind};
use rustc_hash::FxHashMap;
// Colours of colours: a hash that adds up plainly would let two unlike things meet.
use std::hash::{DefaultHasher, Hash, Hasher};

/// What a colour begins with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::diff) enum Strictness {
    /// All facts, and the names of what is within something that is not paired yet.
    Named,
    /// All facts.
    Facts,
    /// All facts of a kind or a place, whoever uses it.
    Own,
    /// The joints alone.
    Joints,
}

/// Most rounds of refining: as far as a difference travels from neighbour to neighbour.
const ROUNDS: u32 = 24;

/// Pairs of things that are not paired and alone have their colour on either side.
pub(super) fn pairs(old: &Graph<'_>, new: &Graph<'_>, made: &Made, strictness: Strictness) -> Vec<(u32, u32)> {
    let of_old = |number: u32| made.new_of(number).map(|_| number);
    let mut left = Colouring::new(old, strictness, &of_old);
    let of_new = |number: u32| made.old_of(number);
    let mut right = Colouring::new(new, strictness, &of_new);
    let mut classes = 0;
    for _ in 0..ROUNDS {
        left.refine(strictness);
        right.refine(strictness);
        let now = left.classes().max(right.classes());
        if now <= classes {
            break;
        }
        classes = now;
    }
    let (mine, theirs) = (left.alone(), right.alone());
    let mut found: Vec<(u32, u32)> = mine
        .iter()
        .filter_map(|(colour, number)| Some((number.as_ref().copied()?, theirs.get(colour).copied().flatten()?)))
        .filter(|(number, _)| left.may_pair(*number, strictness) && left.has_evidence(*number, strictness))
        .collect();
    found.sort_unstable();
    found
}

struct Colouring<'s, 'a> {
    side: &'s Graph<'a>,
    colours: Vec<u64>,
    /// Things that are not paired.
    left: Vec<u32>,
}

impl<'s, 'a> Colouring<'s, 'a> {
    /// Begins with the colours of paired things, which both sides share, and what is known of the others.
    fn new(side: &'s Graph<'a>, strictness: Strictness, paired: &dyn Fn(u32) -> Option<u32>) -> Self {
        let mut colouring = Self { side, colours: Vec::with_capacity(side.things.len()), left: Vec::new() };
        for number in 0..side.count() {
            let colour = match paired(number) {
                // Spread over all colours: a hash of each would cost more than all that is left over.
                Some(pair) => u64::from(pair).wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15),
                None => {
                    let mut hasher = DefaultHasher::new();
                    colouring.left.push(number);
                    let within = side.parent(number).is_some_and(|parent| paired(parent).is_none());
                    colouring.begin(number, strictness, within, &mut hasher);
                    hasher.finish()
                }
            };
            colouring.colours.push(colour);
        }
        colouring
    }

    fn begin(&self, number: u32, strictness: Strictness, within: bool, hasher: &mut DefaultHasher) {
        let Some((key, thing)) = self.side.thing(number) else { return };
        (1_u8, key.kind).hash(hasher);
        // The labels of pins are printed on their housing: they are not names that someone gave.
        if key.kind == Kind::Pin || (within && matches!(strictness, Strictness::Named | Strictness::Own)) {
            thing.name.hash(hasher);
        }
        if strictness == Strictness::Joints {
            return;
        }
        for (name, fact) in &thing.facts {
            name.hash(hasher);
            for item in &fact.items {
                if let Item::Word(word) = item {
                    word.hash(hasher);
                }
            }
        }
    }

    fn colour(&self, number: u32) -> u64 {
        self.colours.get(number as usize).copied().unwrap_or_default()
    }

    fn refine(&mut self, strictness: Strictness) {
        let next: Vec<(u32, u64)> = self.left.iter().map(|number| (*number, self.refined(*number, strictness))).collect();
        for (number, colour) in next {
            if let Some(slot) = self.colours.get_mut(number as usize) {
                *slot = colour;
            }
        }
    }

    fn refined(&self, number: u32, strictness: Strictness) -> u64 {
        let mut hasher = DefaultHasher::new();
        self.colour(number).hash(&mut hasher);
        self.side.parent(number).map(|parent| self.colour(parent)).hash(&mut hasher);
        let mut out: Vec<_> = self
            .side
            .out(number)
            .iter()
            .filter(|link| strictness != Strictness::Joints || self.side.holds(link, link.other))
            .map(|link| self.link(link))
            .collect();
        out.sort_unstable();
        out.hash(&mut hasher);
        let into = self.side.into(number).iter().filter(|link| match strictness {
            Strictness::Own => false,
            Strictness::Joints => self.side.holds(link, number),
            Strictness::Named | Strictness::Facts => true,
        });
        let mut into: Vec<_> = into.map(|link| self.link(link)).collect();
        into.sort_unstable();
        into.hash(&mut hasher);
        let mut children: Vec<u64> = self.side.children(number).iter().map(|child| self.colour(*child)).collect();
        children.sort_unstable();
        children.hash(&mut hasher);
        hasher.finish()
    }

    fn link(&self, link: &Mention<'a>) -> (&'a FactKey, &'a str, u32, u64) {
        (link.fact, link.rest, link.place, self.colour(link.other))
    }

    fn classes(&self) -> usize {
        let mut colours: Vec<u64> = self.left.iter().map(|number| self.colour(*number)).collect();
        colours.sort_unstable();
        colours.dedup();
        colours.len()
    }

    /// The thing that has a colour; `None` for a colour that several have.
    fn alone(&self) -> FxHashMap<u64, Option<u32>> {
        let mut owners: FxHashMap<u64, Option<u32>> = FxHashMap::default();
        for number in &self.left {
            owners.entry(self.colour(*number)).and_modify(|owner| *owner = None).or_insert(Some(*number));
        }
        owners
    }

    /// Whether a thing may be recognised in this way.
    fn may_pair(&self, number: u32, strictness: Strictness) -> bool {
        let Some((key, _)) = self.side.thing(number) else { return false };
        match strictness {
            Strictness::Named | Strictness::Facts => true,
            Strictness::Own => key.kind.is_part() || key.kind.is_setting(),
            Strictness::Joints => !key.kind.is_part(),
        }
    }

    /// Whether there is anything by which a thing can be recognised.
    fn has_evidence(&self, number: u32, strictness: Strictness) -> bool {
        let used = |link: &Mention<'_>| strictness != Strictness::Joints || self.side.holds(link, number);
        let joined = self.side.out(number).iter().any(|link| link.joins)
            || (strictness != Strictness::Own && self.side.into(number).iter().any(used));
        let parts = self.side.children(number).iter().any(|child| self.has_evidence(*child, strictness));
        let facts = strictness != Strictness::Joints && self.side.thing(number).is_some_and(|(_, thing)| thing.facts.len() > 1);
        joined || parts || facts
    }
}
