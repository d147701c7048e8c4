//! Which thing a fact names: a wire its two ends, an end its housing and what it mates.
//!
//! Where a name is looked up is declared at the field. A name that leads nowhere stays a word; that it does is the business of a
//! check. The model can't be asked: it holds the devices that a kind makes, not the kind, and it drops what it can't resolve.

use super::{
    Fact, FactKey, Inventory, Item, Key, Kind, Thing,
    raw::{RawFact, RawThing, RawThings},
};
use crate::format::{Attribute, Naming};
use std::collections::BTreeMap;

/// What a waiver may concern, the most particular first.
const CONCERNED: &[Kind] = &[
    Kind::Wire,
    Kind::End,
    Kind::Splice,
    Kind::Cable,
    Kind::Segment,
    Kind::Loom,
    Kind::Device,
    Kind::Port,
    Kind::Pin,
    Kind::Element,
];

/// Finds what each fact names.
pub(super) fn resolve(raw: RawThings) -> Inventory {
    let mut things = BTreeMap::new();
    for (key, thing) in &raw {
        let facts = thing.facts.iter().map(|(name, fact)| (name.clone(), resolved(&raw, thing, fact))).collect();
        things.insert(key.clone(), Thing { parent: thing.parent.clone(), name: thing.name.clone(), facts });
    }
    Inventory { things }
}

fn resolved(raw: &RawThings, thing: &RawThing, fact: &RawFact) -> Fact {
    let parent = thing.parent.as_ref();
    let named = |text: &String| item(raw, parent, fact.class.naming, text).unwrap_or_else(|| Item::Word(text.clone()));
    Fact::new(fact.items.iter().map(named).collect(), fact.class)
}

fn item(raw: &RawThings, parent: Option<&Key>, naming: Naming, text: &str) -> Option<Item> {
    let whole = |key| Item::Thing(key, String::new());
    match naming {
        Naming::Nothing => None,
        Naming::Anywhere(kinds) => kinds.iter().find_map(|kind| anywhere(raw, *kind, text)).map(whole),
        Naming::Concerned => CONCERNED.iter().find_map(|kind| anywhere(raw, *kind, text)).map(whole),
        Naming::Mate => mate(raw, text),
        Naming::InLoom(kinds) => within(raw, parent?, kinds, text),
        Naming::Point => {
            let inside: &[Kind] =
                if parent?.kind == Kind::Loom { &[Kind::End, Kind::Splice, Kind::Element] } else { &[Kind::Port, Kind::Element] };
            within(raw, parent?, inside, text)
        }
    }
}

fn anywhere(raw: &RawThings, kind: Kind, text: &str) -> Option<Key> {
    let key = Key::named(kind, text);
    raw.contains_key(&key).then_some(key)
}

/// A port that a device has from its kind is not a thing of its own: the device is named, then the port. It stays so where
/// the device says more of that port.
fn mate(raw: &RawThings, text: &str) -> Option<Item> {
    if let Some((device, port)) = text.split_once('.')
        && let Some(key) = anywhere(raw, Kind::Device, device)
    {
        let of_kind = raw.get(&key).and_then(|device| device.facts.get(&FactKey::from(Attribute::Device))?.items.first());
        let in_kind = |of_kind: &String| Key::new(Kind::Port, format!("{}.{port}", Key::named(Kind::DeviceKind, of_kind).path));
        let from_kind = of_kind.is_some_and(|of_kind| raw.contains_key(&in_kind(of_kind)));
        if from_kind || anywhere(raw, Kind::Port, text).is_none() {
            return Some(Item::Thing(key, port.to_owned()));
        }
    }
    [Kind::Port, Kind::End].iter().find_map(|kind| anywhere(raw, *kind, text)).map(|key| Item::Thing(key, String::new()))
}

/// The thing within `owner` whose name `text` begins with, up to a dot; the longest such name.
fn within(raw: &RawThings, owner: &Key, kinds: &[Kind], text: &str) -> Option<Item> {
    let dots = text.match_indices('.').map(|(at, _)| at);
    let cuts: Vec<usize> = dots.chain([text.len()]).collect();
    for cut in cuts.into_iter().rev() {
        let (head, tail) = text.split_at_checked(cut)?;
        let rest = tail.trim_start_matches('.').to_owned();
        for kind in kinds {
            let mut key = Key::new(*kind, format!("{}.{head}", owner.path));
            let mut number = 2;
            while let Some(thing) = raw.get(&key) {
                if thing.parent.as_ref() == Some(owner) {
                    return Some(Item::Thing(key, rest));
                }
                // A device and a loom of one name: theirs are distinguished by a number.
                key.path = format!("{}.{head} ({number})", owner.path);
                number += 1;
            }
        }
    }
    None
}
