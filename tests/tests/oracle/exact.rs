//! The exact answer by brute force: every way to give the things that are left over their new names is tried, and those stay that
//! make the one inventory the other to the letter.

use crate::diff::{read, revisions};
use harness_core::diff::{Inventory, Item, Key, Kind, pairs};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// More ways than this are not tried.
const MOST: usize = 20_000;

/// All renamings of things of `old` that make it `new`: the new own name of each thing that bears another. `None` where there are too
/// many ways to try.
pub fn renamings(old: &Inventory, new: &Inventory) -> Option<Vec<BTreeMap<Key, Key>>> {
    let mut ways = vec![BTreeMap::new()];
    // From the top down: what is in a thing can be named once that has its new name.
    for depth in 0..4 {
        let mut next = Vec::new();
        for way in ways {
            next.extend(deeper(old, new, &way, depth)?);
            if next.len() > MOST {
                return None;
            }
        }
        ways = next;
    }
    ways.retain(|way| renamed(old, way).as_ref() == Some(new));
    for way in &mut ways {
        way.retain(|before, now| own(old, before) != own(new, now));
    }
    Some(ways)
}

fn own<'a>(inventory: &'a Inventory, key: &Key) -> &'a str {
    inventory.things.get(key).map_or("", |thing| thing.name.as_str())
}

fn depth(inventory: &Inventory, key: &Key) -> usize {
    inventory.things[key].parent.as_ref().map_or(0, |parent| 1 + depth(inventory, parent))
}

type Way = BTreeMap<Key, Key>;

/// What is in one thing and is of one kind, in the old and in the new revision.
type Groups = BTreeMap<(Kind, Option<Key>), (Vec<Key>, Vec<Key>)>;

/// All ways to go on with the things at a depth.
fn deeper(old: &Inventory, new: &Inventory, way: &Way, at: usize) -> Option<Vec<Way>> {
    let mut groups = Groups::new();
    for (key, thing) in old.things.iter().filter(|(key, _)| depth(old, key) == at) {
        let parent = thing.parent.as_ref().and_then(|parent| way.get(parent)).cloned();
        groups.entry((key.kind, parent)).or_default().0.push(key.clone());
    }
    for (key, thing) in new.things.iter().filter(|(key, _)| depth(new, key) == at) {
        groups.entry((key.kind, thing.parent.clone())).or_default().1.push(key.clone());
    }
    let mut ways = vec![way.clone()];
    for (olds, news) in groups.into_values() {
        let mut known = Way::new();
        let (mut left, mut right) = (Vec::new(), news.clone());
        for key in olds {
            match news.iter().find(|now| own(new, now) == own(old, &key)) {
                Some(now) => {
                    right.retain(|other| other != now);
                    known.insert(key, now.clone());
                }
                None => left.push(key),
            }
        }
        if left.len() != right.len() {
            return Some(Vec::new());
        }
        let orders = orders(&right);
        let mut next = Vec::new();
        for way in &ways {
            for order in &orders {
                let mut way = way.clone();
                way.extend(known.clone());
                way.extend(left.iter().cloned().zip(order.iter().cloned()));
                next.push(way);
            }
            if next.len() > MOST {
                return None;
            }
        }
        ways = next;
    }
    Some(ways)
}

fn orders(items: &[Key]) -> Vec<Vec<Key>> {
    if items.is_empty() {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for (at, first) in items.iter().enumerate() {
        let mut rest = items.to_vec();
        rest.remove(at);
        all.extend(orders(&rest).into_iter().map(|mut order| {
            order.insert(0, first.clone());
            order
        }));
    }
    all
}

fn renamed(old: &Inventory, way: &Way) -> Option<Inventory> {
    let mut inventory = Inventory::default();
    for (key, thing) in &old.things {
        let mut thing = thing.clone();
        let now = way.get(key)?;
        for fact in thing.facts.values_mut() {
            for item in &mut fact.items {
                if let Item::Thing(named, _) = item {
                    *named = way.get(named)?.clone();
                }
            }
            if !fact.is_ordered() {
                fact.items.sort();
            }
        }
        thing.parent = match &thing.parent {
            Some(parent) => Some(way.get(parent)?.clone()),
            None => None,
        };
        // The own name is the last part of the whole one.
        let whole = now.path.strip_prefix("kind ").filter(|_| now.kind == Kind::DeviceKind).unwrap_or(&now.path);
        thing.name =
            thing.parent.as_ref().and_then(|parent| whole.strip_prefix(&format!("{}.", parent.path))).unwrap_or(whole).to_owned();
        inventory.things.insert(now.clone(), thing);
    }
    Some(inventory)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 80, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_was_only_renamed_is_recognised_where_nothing_else_would_do(seed in any::<u64>(), size in 0_usize..5, count in 1_usize..7) {
        let (old, new) = revisions(seed, size, 0, count);
        let (old, new) = (read(&old), read(&new));
        let Some(ways) = renamings(&old, &new) else { return Ok(()) };
        prop_assert!(!ways.is_empty(), "the true renaming is among them");
        let found: BTreeMap<Key, Key> = pairs(&old, &new).renamed.into_iter().map(|renamed| (renamed.old, renamed.new)).collect();
        for (before, now) in &found {
            prop_assert!(ways.iter().all(|way| way.get(before) == Some(now)), "{before} may be another than {now}");
        }
        for (before, now) in &ways[0] {
            if ways.iter().all(|way| way.get(before) == Some(now)) && can_be_known(&old, before) {
                prop_assert_eq!(found.get(before), Some(now), "{} is surely {}", before, now);
            }
        }
    }
}

/// Whether there is anything by which a thing could be known again: facts, parts, or who names it.
fn can_be_known(inventory: &Inventory, key: &Key) -> bool {
    let names = |item: &Item| matches!(item, Item::Thing(named, _) if named == key);
    let named = inventory.things.values().any(|thing| thing.facts.values().flat_map(|fact| &fact.items).any(names));
    named || inventory.things[key].facts.len() > 1 || inventory.things.values().any(|thing| thing.parent.as_ref() == Some(key))
}
