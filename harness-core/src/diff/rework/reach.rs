//! What is joined by metal, and what of it is of voltage class B.
//!
//! A wire counts as class B by the domain of any pin that it leads to, and by its colour: orange is kept for class B (ISO 6469-3, from
//! memory). Who takes too much for class B loses time, who takes too little loses more.

use super::bench_state::{Built, Whole, owner, word};
use crate::{
    diff::{Item, Key, Kind, Thing},
    format::Attribute,
    quantity::{self, Unit, Volt},
};
use std::collections::{BTreeMap, BTreeSet};

/// Limits above which a domain is of class B: ISO 6469-3, DC and AC, in V.
const DIRECT: f64 = 60.0;
const ALTERNATING: f64 = 30.0;

/// Points in groups.
#[derive(Debug, Default)]
struct Groups {
    numbers: BTreeMap<Item, usize>,
    above: Vec<usize>,
}

impl Groups {
    fn number(&mut self, item: &Item) -> usize {
        if let Some(number) = self.numbers.get(item) {
            return *number;
        }
        let number = self.above.len();
        self.numbers.insert(item.clone(), number);
        self.above.push(number);
        number
    }

    fn top(&self, mut number: usize) -> usize {
        while let Some(&above) = self.above.get(number).filter(|above| **above != number) {
            number = above;
        }
        number
    }

    fn join(&mut self, one: &Item, other: &Item) {
        let (one, other) = (self.number(one), self.number(other));
        let (one, other) = (self.top(one), self.top(other));
        let (low, high) = (one.min(other), one.max(other));
        if let Some(above) = self.above.get_mut(high) {
            *above = low;
        }
    }

    fn of(&self, item: &Item) -> Option<usize> {
        self.numbers.get(item).map(|number| self.top(*number))
    }
}

/// What is joined and what is of class B.
#[derive(Debug)]
pub(super) struct Reach {
    /// Joined within looms, nothing mated.
    looms: Groups,
    /// Joined with all ends mated.
    all: Groups,
    /// The ends of each group of a loom.
    ends: BTreeMap<usize, BTreeSet<Key>>,
    high: BTreeSet<usize>,
    high_devices: BTreeSet<String>,
    high_sources: BTreeSet<Key>,
}

impl Reach {
    pub(super) fn of(whole: &Whole<'_>, built: &Built) -> Self {
        let (mut looms, mut all) = (Groups::default(), Groups::default());
        for (_, lead) in built.leads.iter().filter(|(key, _)| key.kind == Kind::Wire) {
            if let Some((first, rest)) = lead.places.split_first() {
                for other in rest {
                    looms.join(first, other);
                    all.join(first, other);
                }
                for place in &lead.places {
                    if let Some(mated) = mated(built, place) {
                        all.join(place, &mated);
                    }
                }
            }
        }
        let things = &whole.things;
        let mut ends: BTreeMap<usize, BTreeSet<Key>> = BTreeMap::new();
        for item in looms.numbers.keys() {
            if let (Item::Thing(end, _), Some(group)) = (item, looms.of(item))
                && end.kind == Kind::End
            {
                ends.entry(group).or_default().insert(end.clone());
            }
        }
        let mut reach =
            Self { looms, all, ends, high: BTreeSet::new(), high_devices: BTreeSet::new(), high_sources: BTreeSet::new() };
        for (key, thing) in things {
            let is_high = thing.fact(Attribute::Domain).and_then(|fact| fact.items.first()).is_some_and(|item| match item {
                Item::Thing(domain, _) => things.get(domain).is_some_and(is_high_domain),
                Item::Word(_) => false,
            });
            let point = match (key.kind, &thing.parent) {
                (Kind::Pin, Some(port)) => Item::Thing(port.clone(), thing.name.clone()),
                (Kind::Port, _) => Item::Thing(key.clone(), String::new()),
                _ => continue,
            };
            if is_high {
                reach.high_devices.extend(owner(key).map(str::to_owned));
                reach.high.extend(reach.all.of(&point));
            }
        }
        let volts = |thing: &Thing| {
            let fact = thing.fact(Attribute::Source)?.items.first().map(word)?;
            quantity::parse::<Volt>(&fact).ok().map(Unit::get)
        };
        let sources = things.iter().filter(|(key, thing)| {
            let by_device = owner(key).is_some_and(|device| reach.high_devices.contains(device));
            key.kind == Kind::Element && volts(thing).is_some_and(|volts| by_device || volts > DIRECT)
        });
        let high_sources = sources.map(|(key, _)| key.clone()).collect();
        reach.high_sources = high_sources;
        reach
    }

    /// Whether a source is of class B, by itself or by what stands in its box.
    pub(super) fn is_high_source(&self, key: &Key) -> bool {
        self.high_sources.contains(key)
    }

    /// Whether a wire or cable is of class B.
    pub(super) fn is_high(&self, built: &Built, key: &Key) -> bool {
        let Some(lead) = built.leads.get(key) else { return false };
        let orange = lead.fact(Attribute::Colour).is_some_and(|colour| colour.items.iter().any(|item| word(item) == "OG"));
        orange || lead.places.iter().any(|place| self.all.of(place).is_some_and(|group| self.high.contains(&group)))
    }

    /// The ends that a place leads to within its loom.
    pub(super) fn ends(&self, at: &Item) -> impl Iterator<Item = &Key> {
        self.looms.of(at).and_then(|group| self.ends.get(&group)).into_iter().flatten()
    }

    /// Whether two places are one piece of metal while nothing is mated.
    pub(super) fn are_joined(&self, one: &Item, other: &Item) -> bool {
        self.looms.of(one).is_some_and(|group| self.looms.of(other) == Some(group))
    }
}

/// The point of the other half that a place meets.
pub(super) fn mated(built: &Built, place: &Item) -> Option<Item> {
    let Item::Thing(end, cavity) = place else { return None };
    match built.mate(end)? {
        Item::Thing(mate, _) if built.fact(end, Attribute::BoltsTo).is_some() => Some(Item::Thing(mate.clone(), String::new())),
        Item::Thing(mate, _) => Some(Item::Thing(mate.clone(), cavity.clone())),
        Item::Word(_) => None,
    }
}

fn is_high_domain(domain: &Thing) -> bool {
    let text = |fact: Attribute| domain.word(fact);
    let volts = text(Attribute::Max).or_else(|| text(Attribute::Nominal)).and_then(|text| quantity::parse::<Volt>(text).ok());
    let limit = if text(Attribute::Kind) == Some("ac") { ALTERNATING } else { DIRECT };
    volts.is_some_and(|volts| volts.get() > limit)
}
