//! Which facts name other things: a wire its two ends, an end its housing and what it mates.
//!
//! Owns the table of such facts. A name that leads nowhere stays a word; that it does is the business of a check.

use super::inventory::{Fact, Inventory, Item, Key, Kind, RawThing, Thing};
use std::collections::BTreeMap;

/// What a fact names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Names {
    /// Nothing: a figure, a word.
    Nothing,
    /// A thing of the whole design.
    Global(&'static [Kind]),
    /// A thing of the loom that this one lies in.
    Loom(&'static [Kind]),
    /// A port of a device or an end of a loom.
    Mate,
    /// A point of the device or loom that this one lies in.
    Point,
}

/// What a waiver may concern.
const ANY: &[Kind] = &[
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

/// The two ends of a wire in one fact: which of them is written first says nothing.
pub(super) const ENDS: &str = "ends";

/// Facts by which something is joined; the others say what it is.
pub(super) fn joins(kind: Kind, key: &str) -> bool {
    match kind {
        Kind::Wire => matches!(key, ENDS | "core"),
        Kind::Cable => key.starts_with("screen."),
        Kind::End => matches!(key, "mates" | "bolts-to"),
        Kind::Element => matches!(names(kind, key), Names::Point),
        _ => false,
    }
}

fn names(kind: Kind, key: &str) -> Names {
    const POINTS: &[&str] = &["from", "to", "positive", "negative", "coil", "contact", "link", "interlock", "of"];
    match (kind, key) {
        (Kind::Port | Kind::End, "housing") => Names::Global(&[Kind::HousingKind]),
        (Kind::End, "terminal") => Names::Global(&[Kind::TerminalKind]),
        (Kind::End, key) if key.starts_with("terminals.") => Names::Global(&[Kind::TerminalKind]),
        (Kind::End, "mates" | "bolts-to") => Names::Mate,
        (Kind::Waiver, "at") => Names::Global(ANY),
        (Kind::Loom | Kind::Wire, "wire") => Names::Global(&[Kind::ConductorKind]),
        (Kind::Cable, "part") => Names::Global(&[Kind::CableKind]),
        (Kind::Device | Kind::DeviceKind, "device") => Names::Global(&[Kind::DeviceKind]),
        (Kind::Device | Kind::DeviceKind | Kind::Loom | Kind::End | Kind::Splice | Kind::Segment, "zone") => {
            Names::Global(&[Kind::Zone])
        }
        (Kind::Port | Kind::Pin, "domain") => Names::Global(&[Kind::Domain]),
        (Kind::Element, "fuse") => Names::Global(&[Kind::FuseKind]),
        (Kind::Element, "in" | "closed-in" | "open-in" | "disconnect") => Names::Global(&[Kind::Mode]),
        (Kind::Element, key) if POINTS.contains(&key) => Names::Point,
        (Kind::Wire, ENDS) => Names::Loom(&[Kind::End, Kind::Splice, Kind::Element]),
        (Kind::Cable, key) if key.starts_with("screen.") => Names::Loom(&[Kind::End, Kind::Splice, Kind::Element]),
        (Kind::Wire, "core") => Names::Loom(&[Kind::Cable]),
        (Kind::Wire | Kind::Cable, "via") | (Kind::End | Kind::Splice, "at") => Names::Loom(&[Kind::Segment]),
        _ => Names::Nothing,
    }
}

/// Lists whose order says nothing.
fn is_set(kind: Kind, key: &str) -> bool {
    matches!(
        (kind, key),
        (
            _,
            "unsure"
                | "in"
                | "closed-in"
                | "open-in"
                | "disconnect"
                | "plugged"
                | "nodes"
                | "retired"
                | "interlock"
                | "via"
                | ENDS
        )
    )
}

/// Finds what each fact names.
pub(super) fn resolve(raw: BTreeMap<Key, RawThing>) -> Inventory {
    let mut things = BTreeMap::new();
    for (key, thing) in &raw {
        let mut facts = BTreeMap::new();
        let mut ends = Vec::new();
        for (name, items) in &thing.facts {
            if key.kind == Kind::Wire && matches!(name.as_str(), "from" | "to") {
                ends.extend(items.iter().cloned());
                continue;
            }
            facts.insert(name.clone(), fact(&raw, key, thing, name, items));
        }
        if !ends.is_empty() {
            facts.insert(ENDS.to_owned(), fact(&raw, key, thing, ENDS, &ends));
        }
        things.insert(key.clone(), Thing { parent: thing.parent.clone(), name: thing.name.clone(), facts });
    }
    Inventory { things }
}

fn fact(raw: &BTreeMap<Key, RawThing>, key: &Key, thing: &RawThing, name: &str, items: &[String]) -> Fact {
    let named = names(key.kind, name);
    let parent = thing.parent.as_ref();
    let found = items.iter().map(|text| item(raw, parent, named, text).unwrap_or_else(|| Item::Word(text.clone())));
    Fact::new(found.collect(), !is_set(key.kind, name))
}

fn item(raw: &BTreeMap<Key, RawThing>, parent: Option<&Key>, named: Names, text: &str) -> Option<Item> {
    let whole = |key| Item::Thing(key, String::new());
    match named {
        Names::Nothing => None,
        Names::Global(kinds) => kinds.iter().find_map(|kind| global(raw, *kind, text)).map(whole),
        Names::Mate => mate(raw, text),
        Names::Loom(kinds) => within(raw, parent?, kinds, text),
        Names::Point => {
            let inside: &[Kind] =
                if parent?.kind == Kind::Loom { &[Kind::End, Kind::Splice, Kind::Element] } else { &[Kind::Port, Kind::Element] };
            within(raw, parent?, inside, text)
        }
    }
}

fn global(raw: &BTreeMap<Key, RawThing>, kind: Kind, text: &str) -> Option<Key> {
    let before = if kind == Kind::DeviceKind { "kind " } else { "" };
    let key = Key::new(kind, format!("{before}{text}"));
    raw.contains_key(&key).then_some(key)
}

/// A port that a device has from its kind is no thing of its own: the device is named, the port stands behind it. It stays so where
/// the device says more of that port.
fn mate(raw: &BTreeMap<Key, RawThing>, text: &str) -> Option<Item> {
    if let Some((device, port)) = text.split_once('.')
        && let Some(key) = global(raw, Kind::Device, device)
    {
        let of_kind = raw.get(&key).and_then(|device| device.facts.get("device")?.first());
        let from_kind = of_kind.is_some_and(|of_kind| raw.contains_key(&Key::new(Kind::Port, format!("kind {of_kind}.{port}"))));
        if from_kind || global(raw, Kind::Port, text).is_none() {
            return Some(Item::Thing(key, port.to_owned()));
        }
    }
    [Kind::Port, Kind::End].iter().find_map(|kind| global(raw, *kind, text)).map(|key| Item::Thing(key, String::new()))
}

/// The thing within `owner` whose name `text` begins with, up to a dot; the longest such name.
fn within(raw: &BTreeMap<Key, RawThing>, owner: &Key, kinds: &[Kind], text: &str) -> Option<Item> {
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
                // A device and a loom of one name: theirs are told apart by a number.
                key.path = format!("{}.{head} ({number})", owner.path);
                number += 1;
            }
        }
    }
    None
}
