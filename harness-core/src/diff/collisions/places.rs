//! What both branches put in one place: wires in a cavity, a plug and a wire, two connectors on one port.

use super::{
    Found, Grade,
    branch::{About, Branch, newly_named},
};
use crate::{
    diff::inventory::{Fact, FactKey, Inventory, Item, Key, Kind},
    format::Attribute,
};
use std::collections::{BTreeMap, BTreeSet};

/// Wires in a cavity, ends on a port.
pub(super) fn both_ways(base: &Inventory, ours: &Branch<'_>, theirs: &Branch<'_>, found: &mut Found) {
    let (mine, other) = (arrivals(base, ours, Kind::Wire, Attribute::Ends), arrivals(base, theirs, Kind::Wire, Attribute::Ends));
    for (place, wires) in &mine {
        let (Item::Thing(end, cavity), Some(others)) = (place, other.get(place)) else { continue };
        if end.kind != Kind::End || cavity.is_empty() || wires == others {
            continue;
        }
        let together = in_place(base, ours, theirs, place);
        let most = most_wires(base, ours, theirs, end);
        let came: BTreeSet<&Key> = wires.union(others).collect();
        if together.len() <= most || came.len() < 2 {
            continue;
        }
        let names: Vec<String> = together.iter().map(|wire| format!("`{}`", wire.path)).collect();
        let at = format!("{}.{cavity}", end.path);
        let headline = format!("both put wires into cavity `{at}`: {} would be in it, it takes {most}", names.join(", "));
        let help = format!("move one of them to another cavity of `{}`, or join them in a splice", end.path);
        let mut concerns = vec![end.clone()];
        concerns.extend(came.into_iter().cloned());
        let did = |branch: &Branch<'_>, wires: &BTreeSet<Key>| {
            wires.iter().flat_map(|wire| branch.did_to(wire, &About::Fact(Attribute::Ends.into()))).collect()
        };
        found.add(Grade::Certain, concerns, headline, (did(ours, wires), did(theirs, others)), help);
    }
    let (mine, other) = (arrivals(base, ours, Kind::End, Attribute::Mates), arrivals(base, theirs, Kind::End, Attribute::Mates));
    for (port, ends) in &mine {
        let Some(others) = other.get(port).filter(|others| *others != ends) else { continue };
        let Item::Thing(key, rest) = port else { continue };
        let at = if rest.is_empty() { key.shown().to_owned() } else { format!("{}.{rest}", key.path) };
        let all: BTreeSet<&Key> = ends.union(others).collect();
        let names: Vec<String> = all.iter().map(|end| format!("`{}`", end.path)).collect();
        let headline = format!("`{at}` is mated by both, with {}", names.join(" and "));
        let help = format!("decide which end mates `{at}`");
        let did = |branch: &Branch<'_>, ends: &BTreeSet<Key>| {
            ends.iter().flat_map(|end| branch.did_to(end, &About::Fact(Attribute::Mates.into()))).collect()
        };
        found.add(Grade::Certain, all.into_iter().cloned().collect(), headline, (did(ours, ends), did(theirs, others)), help);
    }
}

/// A plug where the other puts a wire.
pub(super) fn one_way(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    let wires = arrivals(base, other, Kind::Wire, Attribute::Ends);
    for (key, name, fact) in mine.new_facts().filter(|(key, name, _)| key.kind == Kind::End && **name == Attribute::Plugged) {
        let before = base.things.get(key).and_then(|thing| thing.facts.get(name));
        for item in newly_named(fact, before) {
            let Item::Word(cavity) = item else { continue };
            let Some(wires) = wires.get(&Item::Thing(key.clone(), cavity.clone())) else { continue };
            let at = format!("{}.{cavity}", key.path);
            let headline = format!("cavity `{at}` is plugged by one and wired by the other");
            let help = format!("leave the plug out of `{at}`, or put the wire elsewhere");
            let did = wires.iter().flat_map(|wire| other.did_to(wire, &About::Fact(Attribute::Ends.into()))).collect();
            let concerns = [key].into_iter().chain(wires).cloned().collect();
            found.add(Grade::Certain, concerns, headline, (mine.did_to(key, &About::Fact(name.clone())), did), help);
        }
    }
}

/// Who comes to a place in a branch and was not there before.
fn arrivals(base: &Inventory, branch: &Branch<'_>, kind: Kind, attribute: Attribute) -> BTreeMap<Item, BTreeSet<Key>> {
    let mut found: BTreeMap<Item, BTreeSet<Key>> = BTreeMap::new();
    for (key, _, now) in branch.new_facts().filter(|(key, name, _)| key.kind == kind && **name == attribute) {
        let before = base.things.get(key).and_then(|thing| thing.fact(attribute));
        for item in newly_named(now, before).into_iter().filter(|item| matches!(item, Item::Thing(..))) {
            found.entry(item.clone()).or_default().insert(key.clone());
        }
    }
    found
}

/// The wires of a cavity once both branches are merged.
fn in_place(base: &Inventory, ours: &Branch<'_>, theirs: &Branch<'_>, place: &Item) -> BTreeSet<Key> {
    let ends = FactKey::from(Attribute::Ends);
    let there = |fact: Option<&Fact>| fact.is_some_and(|fact| fact.items.contains(place));
    let wires = base.things.keys().chain(ours.added.keys()).chain(theirs.added.keys()).filter(|key| key.kind == Kind::Wire);
    wires
        .filter(|wire| {
            let before = there(base.things.get(*wire).and_then(|thing| thing.fact(Attribute::Ends)));
            let gone = ours.removed.contains(*wire) || theirs.removed.contains(*wire);
            let (mine, other) = (there(ours.fact(base, wire, &ends)), there(theirs.fact(base, wire, &ends)));
            // It stays where neither takes it away, and comes where one brings it.
            !gone && if before { mine && other } else { mine || other }
        })
        .cloned()
        .collect()
}

/// How many wires a cavity of an end takes; 1 where nothing is said.
fn most_wires(base: &Inventory, ours: &Branch<'_>, theirs: &Branch<'_>, end: &Key) -> usize {
    let most = |branch: &Branch<'_>| -> Option<usize> {
        let kind = branch.fact(base, end, &Attribute::Housing.into())?.things().next()?;
        match branch.fact(base, kind, &Attribute::MaxWires.into())?.items.first()? {
            Item::Word(count) => count.parse().ok(),
            Item::Thing(..) => None,
        }
    };
    most(ours).max(most(theirs)).unwrap_or(1)
}
