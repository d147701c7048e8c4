//! Changes in the words of the trade.

use super::{
    changes::{Change, Exchange, Place},
    edits::Alteration,
    inventory::{Fact, Item, Key, Kind, Thing},
};
use crate::{
    format::Attribute,
    quantity::{self, Metre},
    wording::{count, list},
};
use std::collections::BTreeMap;

impl Change {
    /// One line that makes sense by itself: what, where, by how much.
    #[must_use]
    pub fn headline(&self) -> String {
        match self {
            Self::Renamed(renamed) => {
                format!("{} `{}` is now called `{}`", renamed.new.kind.noun(), renamed.old.shown(), renamed.new.shown())
            }
            Self::Removed { key, thing, parts } => format!("{} removed{}", called(key), about(key, thing, parts)),
            Self::Added { key, thing, parts } => format!("{} added{}", called(key), about(key, thing, parts)),
            Self::Moved { old_key, key, from, to, stays } => moved(old_key, key, (from, to), stays),
            Self::Exchanged { what: Exchange::Ends, members } => exchanged(members),
            Self::Exchanged { what: Exchange::Signals, members } => signals(members),
            Self::Altered(alteration) => altered(alteration),
        }
    }

    /// What the change rests on, where it was concluded; else nothing.
    #[must_use]
    pub fn rests_on(&self) -> &[String] {
        match self {
            Self::Renamed(renamed) => &renamed.rests_on,
            _ => &[],
        }
    }
}

fn called(key: &Key) -> String {
    if key.path.is_empty() { key.kind.noun().to_owned() } else { format!("{} `{}`", key.kind.noun(), key.shown()) }
}

/// An item as it is written within the thing `at`: places of the same loom or device without its name.
fn item(at: &Key, item: &Item) -> String {
    match item {
        Item::Word(word) => word.clone(),
        Item::Thing(key, rest) => {
            let owner = at.owner().unwrap_or("");
            let path = key.shown();
            let path = path.strip_prefix(owner).and_then(|rest| rest.strip_prefix('.')).unwrap_or(path);
            if rest.is_empty() { path.to_owned() } else { format!("{path}.{rest}") }
        }
    }
}

fn place(at: &Key, place: &Place) -> String {
    place.as_ref().map_or_else(|| "nowhere".to_owned(), |place| item(at, place))
}

fn value(at: &Key, fact: &Fact) -> String {
    fact.joined(|each| item(at, each))
}

fn about(key: &Key, thing: &Thing, parts: &[(Key, Thing)]) -> String {
    let fact = |attribute: Attribute| thing.fact(attribute).map(|fact| value(key, fact));
    let mut said: Vec<String> = Vec::new();
    match key.kind {
        Kind::Wire => {
            said.extend(
                thing
                    .fact(Attribute::Ends)
                    .map(|ends| ends.items.iter().map(|end| item(key, end)).collect::<Vec<_>>().join(" to ")),
            );
            said.extend([Attribute::Size, Attribute::Colour, Attribute::Length, Attribute::Core].into_iter().filter_map(fact));
        }
        Kind::Design | Kind::Policy => {}
        _ => {
            use Attribute::{
                Body, BoltsTo, Ferrule, Fuse, Housing, LandsOn, Load, Mates, Part, Rating, Ring, Screw, Signal, Strip, Stud, Tab,
            };
            let known = [
                Fuse, Housing, Rating, Load, Ring, Stud, Screw, Tab, Strip, Ferrule, Body, Signal, Mates, BoltsTo, LandsOn, Part,
            ];
            said.extend(known.into_iter().filter_map(|name| Some(format!("{name} {}", fact(name)?))));
        }
    }
    let mut counts: BTreeMap<Kind, usize> = BTreeMap::new();
    for (part, _) in parts {
        *counts.entry(part.kind).or_default() += 1;
    }
    let counted: Vec<String> = counts.iter().map(|(kind, some)| count(*some, kind.noun())).collect();
    if !counted.is_empty() {
        said.push(format!("with {}", counted.join(", ")));
    }
    if said.is_empty() { String::new() } else { format!(": {}", said.join(", ")) }
}

fn moved(old_key: &Key, key: &Key, (from, to): (&Place, &Place), stays: &Place) -> String {
    let other = match stays {
        Some(stays) => format!("; its other end stays at {}", item(key, stays)),
        None => String::new(),
    };
    format!("{} moved from {} to {}{other}", called(key), place(old_key, from), place(key, to))
}

fn exchanged(members: &[(Key, Place)]) -> String {
    let names: Vec<String> = members.iter().map(|(key, _)| format!("`{}`", key.shown())).collect();
    let places: Vec<String> = members.iter().map(|(key, at)| place(key, at)).collect();
    match (members, places.as_slice()) {
        ([(first, _), (second, _)], [from, to]) if first == second => {
            format!("{} reversed: its ends at {from} and {to} swapped places", called(first))
        }
        ([_, _], [from, to]) => format!("wires {} swapped places: {from} and {to}", list(&names)),
        _ => format!("wires {} changed places in turn: {}", list(&names), places.join(", then ")),
    }
}

fn signals(members: &[(Key, Place)]) -> String {
    let names: Vec<String> = members.iter().map(|(key, _)| format!("`{}`", key.shown())).collect();
    let signals: Vec<String> = members.iter().map(|(key, signal)| format!("`{}`", place(key, signal))).collect();
    match members {
        [_, _] => format!("pins {} swapped their signals {}", list(&names), list(&signals)),
        _ => format!("pins {} changed their signals in turn: {}", list(&names), signals.join(", then ")),
    }
}

fn altered(alteration: &Alteration) -> String {
    if let Some(told) = at_the_top(alteration) {
        return told;
    }
    let key = &alteration.new_key;
    let name = called(key);
    let verb = match (key.kind, alteration.fact.plain()) {
        (Kind::Wire, Some(Attribute::Size)) => "resized",
        (Kind::Wire, Some(Attribute::Colour)) => "recoloured",
        (Kind::Wire | Kind::Cable, Some(Attribute::Length)) => "cut to another length",
        (Kind::Pin, Some(Attribute::Signal)) => "has another signal",
        (Kind::End | Kind::Port, Some(Attribute::Housing)) => "has another housing",
        (Kind::HousingKind, Some(Attribute::Key)) => "re-keyed",
        (Kind::End, Some(Attribute::Mates)) => "mated elsewhere",
        (Kind::End, Some(Attribute::BoltsTo)) => "bolted elsewhere",
        (Kind::End, Some(Attribute::LandsOn)) => "connected elsewhere",
        (Kind::Element, Some(Attribute::Fuse)) => "has another fuse",
        (Kind::FuseKind, Some(Attribute::Rating)) => "has another rating",
        _ => "",
    };
    let before = alteration.old.as_ref().map(|fact| value(&alteration.old_key, fact));
    let now = alteration.new.as_ref().map(|fact| value(key, fact));
    let fact = &alteration.fact;
    if let (Some(old), Some(new)) = (&alteration.old, &alteration.new)
        && !old.is_ordered()
        && !new.is_ordered()
    {
        return format!("{name}, `{fact}`: {}", set(alteration, old, new));
    }
    match (before, now) {
        (Some(before), Some(now)) if before == now => format!("{name}, `{fact}`: {now} is a different one"),
        (Some(before), Some(now)) if verb.is_empty() => format!("{name}, `{fact}`: from {before} to {now}"),
        (Some(before), Some(now)) => format!("{name} {verb}: from {before} to {now}{}", longer(&before, &now)),
        (None, Some(now)) => format!("{name}, `{fact}`: {now} is new"),
        (Some(before), None) => format!("{name}, `{fact}`: {before} is gone"),
        (None, None) => name,
    }
}

/// What is said of the design as a whole, and the workshop's own limits.
fn at_the_top(alteration: &Alteration) -> Option<String> {
    let key = &alteration.new_key;
    let before = alteration.old.as_ref().map(|fact| value(&alteration.old_key, fact));
    let now = alteration.new.as_ref().map(|fact| value(key, fact));
    let fact = &alteration.fact;
    let told = match (key.kind, fact.plain(), before, now) {
        (Kind::Design, Some(Attribute::Revision), Some(before), Some(now)) => {
            format!("revision `{now}` follows revision `{before}`")
        }
        (Kind::Design, Some(Attribute::Design), Some(before), Some(now)) => {
            format!("the design is now called `{now}`; it was `{before}`")
        }
        (Kind::Design, Some(Attribute::Retired), _, _) => retired(alteration),
        (Kind::Policy, _, before, now) => {
            match (fact.label.as_ref().filter(|_| fact.attribute == Attribute::Levels), before, now) {
                (Some(rule), None, Some(now)) => format!("policy, findings of `{rule}` raised to {now}"),
                (Some(rule), Some(before), Some(now)) => format!("policy, findings of `{rule}`: from {before} to {now}"),
                (Some(rule), Some(before), None) => format!("policy, findings of `{rule}` no longer raised to {before}"),
                (None, None, Some(now)) => format!("policy, limit `{fact}` set: {now}"),
                (None, Some(before), Some(now)) => format!("policy, limit `{fact}`: from {before} to {now}"),
                (None, Some(before), None) => format!("policy, limit `{fact}` removed, the default applies: it was {before}"),
                (_, None, None) => return None,
            }
        }
        (Kind::Waiver, Some(Attribute::Reason), Some(before), Some(now)) => {
            format!("{} has another reason: \"{now}\", was \"{before}\"", called(key))
        }
        (Kind::Waiver, Some(Attribute::Until), Some(before), Some(now)) => {
            format!("{} holds until {now}, was {before}", called(key))
        }
        _ => return None,
    };
    Some(told)
}

/// Wire numbers that may never come back, and those that may again.
fn retired(alteration: &Alteration) -> String {
    let numbers = |fact: &Option<Fact>, other: &Option<Fact>| -> Vec<String> {
        let other: Vec<&Item> = other.iter().flat_map(|fact| &fact.items).collect();
        let items = fact.iter().flat_map(|fact| &fact.items).filter(|number| !other.contains(number));
        items.map(|number| item(&alteration.new_key, number)).collect()
    };
    let (gone, come) = (numbers(&alteration.old, &alteration.new), numbers(&alteration.new, &alteration.old));
    let mut told = Vec::new();
    match come.as_slice() {
        [] => {}
        [one] => told.push(format!("wire number {one} retired: it is never used again")),
        more => told.push(format!("wire numbers {} retired: they are never used again", list(more))),
    }
    if !gone.is_empty() {
        told.push(format!("wire number{} {} no longer retired", if gone.len() == 1 { "" } else { "s" }, list(&gone)));
    }
    told.join("; ")
}

/// What came to a set and what left it.
fn set(alteration: &Alteration, old: &Fact, new: &Fact) -> String {
    let before: Vec<String> = old.items.iter().map(|each| item(&alteration.old_key, each)).collect();
    let now: Vec<String> = new.items.iter().map(|each| item(&alteration.new_key, each)).collect();
    let gone: Vec<String> = before.iter().filter(|each| !now.contains(each)).cloned().collect();
    let come: Vec<String> = now.iter().filter(|each| !before.contains(each)).cloned().collect();
    match (gone.is_empty(), come.is_empty()) {
        (false, true) => format!("{} gone", list(&gone)),
        (true, false) => format!("{} new", list(&come)),
        (false, false) => format!("{} gone, {} new", list(&gone), list(&come)),
        // The names are the same and what they mean is not.
        (true, true) => format!("{} are different ones", list(&now)),
    }
}

/// By how much a length differs.
fn longer(before: &str, now: &str) -> String {
    let (Ok(before), Ok(now)) = (quantity::parse::<Metre>(before), quantity::parse::<Metre>(now)) else { return String::new() };
    let more = now.get() - before.get();
    let by = Metre::new(more.abs());
    if more > 0.0 { format!(" ({by} longer)") } else { format!(" ({by} shorter)") }
}
