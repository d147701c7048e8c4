//! The difference between two revisions as a person would say it: each edit in one change, swaps reported as swaps.

use super::{
    edits::{Alteration, Edits},
    inventory::{Fact, Item, Key, Kind, Thing},
    matching::Renamed,
};
use crate::format::Attribute;
use std::collections::{BTreeMap, BTreeSet};

/// Where an end of a wire is: a thing of its loom and, in a connector, the cavity. `None`: nowhere.
pub type Place = Option<Item>;

/// What was swapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exchange {
    /// The ends of wires took each other's places.
    Ends,
    /// Pins took each other's signals.
    Signals,
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// A thing has another name.
    Renamed(Renamed),
    /// A thing is gone, with all that lay in it.
    Removed {
        /// The thing.
        key: Key,
        /// What it was.
        thing: Thing,
        /// What lay in it.
        parts: Vec<(Key, Thing)>,
    },
    /// A thing is new, with all that is in it.
    Added {
        /// The thing.
        key: Key,
        /// What it is.
        thing: Thing,
        /// What is in it.
        parts: Vec<(Key, Thing)>,
    },
    /// An end of a wire is elsewhere.
    Moved {
        /// The wire in the old revision.
        old_key: Key,
        /// The wire in the new one.
        key: Key,
        /// Where the end was.
        from: Place,
        /// Where it is.
        to: Place,
        /// Where the other end is.
        stays: Place,
    },
    /// Two or more took each other's places: the first went to the place of the second, the second to that of the third, the last to
    /// that of the first.
    Exchanged {
        /// What was swapped.
        what: Exchange,
        /// Who, and what each had before.
        members: Vec<(Key, Place)>,
    },
    /// A fact is another.
    Altered(Alteration),
}

impl Change {
    /// The thing that it is about: in the new revision, or of one that is gone in the old.
    #[must_use]
    pub fn key(&self) -> Option<&Key> {
        match self {
            Self::Renamed(renamed) => Some(&renamed.new),
            Self::Removed { key, .. } | Self::Added { key, .. } | Self::Moved { key, .. } => Some(key),
            Self::Exchanged { members, .. } => members.first().map(|(key, _)| key),
            Self::Altered(alteration) => Some(&alteration.new_key),
        }
    }
}

/// The changes that make up `edits`: by kind of thing, then by name.
#[must_use]
pub fn changes(edits: &Edits) -> Vec<Change> {
    let mut found: Vec<Change> = edits.renamed.iter().cloned().map(Change::Renamed).collect();
    found.extend(whole(&edits.removed).into_iter().map(|(key, thing, parts)| Change::Removed { key, thing, parts }));
    found.extend(whole(&edits.added).into_iter().map(|(key, thing, parts)| Change::Added { key, thing, parts }));
    let new_keys: BTreeMap<&Key, &Key> = edits.renamed.iter().map(|renamed| (&renamed.old, &renamed.new)).collect();
    let mut moves = Vec::new();
    let mut signals = Vec::new();
    for alteration in &edits.altered {
        match (alteration.old_key.kind, alteration.fact.plain(), &alteration.old, &alteration.new) {
            (Kind::Wire, Some(Attribute::Ends), Some(old), Some(new)) => moves.extend(moved(alteration, old, new, &new_keys)),
            (Kind::Pin, Some(Attribute::Signal), Some(old), Some(new)) => signals.push(Relocation {
                key: alteration.new_key.clone(),
                // A signal is swapped within a port only.
                from: (alteration.new_key.path.rsplit_once('.').map(|(port, _)| port.to_owned()), old.items.first().cloned()),
                to: (alteration.new_key.path.rsplit_once('.').map(|(port, _)| port.to_owned()), new.items.first().cloned()),
                change: Change::Altered(alteration.clone()),
            }),
            _ => found.push(Change::Altered(alteration.clone())),
        }
    }
    found.extend(exchanges(Exchange::Ends, moves));
    found.extend(exchanges(Exchange::Signals, signals));
    found.sort_by(|a, b| (a.key(), rank(a)).cmp(&(b.key(), rank(b))));
    found
}

/// Renamings first, so that what follows can use the new name.
fn rank(change: &Change) -> u8 {
    match change {
        Change::Renamed(_) => 0,
        Change::Removed { .. } => 1,
        Change::Added { .. } => 2,
        Change::Moved { .. } => 3,
        Change::Exchanged { .. } => 4,
        Change::Altered(_) => 5,
    }
}

/// A thing with all that is in it.
type Whole = (Key, Thing, Vec<(Key, Thing)>);

/// Brings what is in a thing that is gone or new to that thing.
fn whole(things: &[(Key, Thing)]) -> Vec<Whole> {
    let known: BTreeMap<&Key, &Thing> = things.iter().map(|(key, thing)| (key, thing)).collect();
    let mut tops: BTreeMap<&Key, Vec<(Key, Thing)>> = BTreeMap::new();
    for (key, thing) in things {
        let (mut top, mut above) = (key, thing);
        while let Some((parent, thing)) = above.parent.as_ref().and_then(|parent| known.get_key_value(parent)) {
            (top, above) = (parent, thing);
        }
        let parts = tops.entry(top).or_default();
        if top != key {
            parts.push((key.clone(), thing.clone()));
        }
    }
    tops.into_iter().filter_map(|(key, parts)| Some((key.clone(), (*known.get(key)?).clone(), parts))).collect()
}

/// A step from one place to another.
struct Relocation<P> {
    key: Key,
    from: P,
    to: P,
    change: Change,
}

/// The ends of a wire that are elsewhere.
fn moved(alteration: &Alteration, old: &Fact, new: &Fact, renamed: &BTreeMap<&Key, &Key>) -> Vec<Relocation<Place>> {
    let mut left: Vec<&Item> = new.items.iter().collect();
    let mut gone = Vec::new();
    let mut stays = None;
    for before in &old.items {
        let called = in_new_names(before, alteration, renamed);
        match left.iter().position(|now| **now == called) {
            Some(at) => stays = Some(left.remove(at).clone()),
            None => gone.push((before, called)),
        }
    }
    // An end that stays in its connector is not a different end that came there.
    left.sort_by_key(|now| gone.iter().position(|(_, called)| thing_of(called) == thing_of(now)).unwrap_or(gone.len()));
    gone.sort_by_key(|(_, called)| left.iter().position(|now| thing_of(called) == thing_of(now)).unwrap_or(left.len()));
    let (mut gone, mut left) = (gone.into_iter(), left.into_iter());
    let mut steps = Vec::new();
    loop {
        let (before, now) = (gone.next(), left.next());
        if before.is_none() && now.is_none() {
            return steps;
        }
        let (old_key, key) = (alteration.old_key.clone(), alteration.new_key.clone());
        let from = before.as_ref().map(|(before, _)| (*before).clone());
        let to = now.cloned();
        steps.push(Relocation {
            key: key.clone(),
            from: before.map(|(_, called)| called),
            to: to.clone(),
            change: Change::Moved { old_key, key, from, to, stays: stays.clone() },
        });
    }
}

fn thing_of(place: &Item) -> Option<&Key> {
    place.thing()
}

/// A place in the names of the new revision, also where only the loom has another name.
fn in_new_names(place: &Item, alteration: &Alteration, renamed: &BTreeMap<&Key, &Key>) -> Item {
    let Item::Thing(key, rest) = place else { return place.clone() };
    let loom = |key: &Key| key.path.split_once('.').map(|(loom, _)| loom.to_owned()).unwrap_or_default();
    let (before, now) = (loom(&alteration.old_key), loom(&alteration.new_key));
    let called = match (renamed.get(key), key.path.strip_prefix(&format!("{before}."))) {
        (Some(new), _) => (*new).clone(),
        (None, Some(own)) => Key::new(key.kind, format!("{now}.{own}")),
        (None, None) => key.clone(),
    };
    Item::Thing(called, rest.clone())
}

/// Reports steps that lead round in a circle as one swap; the others stay what they are.
fn exchanges<P: Ord + Clone + AsPlace>(what: Exchange, steps: Vec<Relocation<P>>) -> Vec<Change> {
    let mut by_start: BTreeMap<&P, Option<usize>> = BTreeMap::new();
    for (number, step) in steps.iter().enumerate() {
        // Two things that leave one place can't both be followed.
        if step.from.place().is_some() {
            by_start.entry(&step.from).and_modify(|entry| *entry = None).or_insert(Some(number));
        }
    }
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    let mut found = Vec::new();
    for start in 0..steps.len() {
        let mut circle = Vec::new();
        let mut at = start;
        let closed = loop {
            if taken.contains(&at) || circle.contains(&at) || circle.len() > steps.len() {
                break false;
            }
            circle.push(at);
            let Some(step) = steps.get(at) else { break false };
            match by_start.get(&step.to).copied().flatten() {
                Some(next) if next == start => break true,
                Some(next) => at = next,
                None => break false,
            }
        };
        if closed && circle.len() > 1 {
            let members = circle.iter().filter_map(|number| steps.get(*number)).map(|step| (step.key.clone(), step.from.place()));
            found.push(Change::Exchanged { what, members: members.collect() });
            taken.extend(circle);
        }
    }
    let rest = steps.into_iter().enumerate().filter(|(number, _)| !taken.contains(number));
    found.extend(rest.map(|(_, step)| step.change));
    found
}

/// What a member of a swap had.
trait AsPlace {
    fn place(&self) -> Place;
}

impl AsPlace for Place {
    fn place(&self) -> Place {
        self.clone()
    }
}

impl AsPlace for (Option<String>, Place) {
    fn place(&self) -> Place {
        self.1.clone()
    }
}
