//! Which things bear another name in the new design, and the steps that give it to them.
//!
//! Names come before everything that is taken apart: all later steps speak the names of the new design, and no two wires share a
//! number for a while.

use super::{
    apply::Action,
    bench_state::{Whole, kind_of, owner, parts_of},
    steps::{Stage, Steps},
};
use crate::diff::{Edits, Inventory, Key, Kind};
use std::collections::{BTreeMap, BTreeSet};

/// The new names of old things; those that go and would be in the way get a mark.
pub(super) fn names(old: &Whole<'_>, new: &Inventory, edits: &Edits) -> BTreeMap<Key, Key> {
    let (old, all) = (old.inventory, &old.things);
    let mut names = edits.new_keys(old);
    for (key, thing) in old.things.iter().filter(|(key, _)| key.kind == Kind::Device) {
        let (Some(kind), Some(device)) = (kind_of(thing), names.get(key).cloned()) else { continue };
        let same_kind = new.things.get(&device).and_then(kind_of).is_some_and(|now| names.get(kind) == Some(now));
        let own = format!("{}.", key.path);
        let inherited = parts_of(all, key).map(|(part, _)| part).filter(|part| !old.things.contains_key(*part));
        let mut found = Vec::new();
        for part in inherited {
            let rest = part.path.strip_prefix(&own).unwrap_or(&part.path);
            let in_kind = Key::new(part.kind, format!("{}.{rest}", kind.path));
            let called =
                names.get(&in_kind).filter(|_| same_kind).and_then(|called| (called.is_of_kind()).then(|| called.shown()));
            let rest = called.and_then(|called| called.split_once('.')).map_or(rest, |(_, rest)| rest);
            found.push((part.clone(), Key::new(part.kind, format!("{}.{rest}", device.path))));
        }
        names.extend(found);
    }
    // One name for one thing: what would come second goes under the name that it has.
    let mut given: BTreeSet<Key> = BTreeSet::new();
    let mut firm = BTreeMap::new();
    for (key, called) in names {
        if given.insert(called.clone()) {
            firm.insert(key, called);
        }
    }
    let (tops, parts): (Vec<_>, Vec<_>) =
        all.iter().filter(|(key, _)| !firm.contains_key(*key)).partition(|(_, thing)| thing.parent.is_none());
    for (key, thing) in tops.into_iter().chain(parts) {
        // What goes is called after the loom or device that it still is in.
        let above = thing.parent.as_ref().and_then(|parent| firm.get(parent));
        let path = above.map_or_else(|| key.path.clone(), |above| format!("{}.{}", above.path, thing.name));
        let mut called = Key::new(key.kind, path);
        if given.contains(&called) {
            called.path.push_str(" (goes)");
        }
        while given.contains(&called) {
            called.path.push('\'');
        }
        given.insert(called.clone());
        firm.insert(key.clone(), called);
    }
    firm.retain(|key, called| key != called);
    firm
}

/// One step for each loom and device in which names change; one for all where they would cross.
pub(super) fn steps(names: &BTreeMap<Key, Key>, edits: &Edits, steps: &mut Steps) {
    let mut groups: BTreeMap<(bool, String), Vec<(Key, Key)>> = BTreeMap::new();
    for (old, new) in names {
        let group = owner(new).unwrap_or(&new.path).to_owned();
        let stock = !matches!(
            new.kind,
            Kind::Loom
                | Kind::Device
                | Kind::Port
                | Kind::Pin
                | Kind::End
                | Kind::Splice
                | Kind::Wire
                | Kind::Cable
                | Kind::Segment
                | Kind::Element
        ) || new.is_of_kind();
        let group = if stock { String::new() } else { group };
        groups.entry((stock, group)).or_default().push((old.clone(), new.clone()));
    }
    let home: BTreeMap<&Key, &(bool, String)> =
        groups.iter().flat_map(|(group, pairs)| pairs.iter().map(move |(old, _)| (old, group))).collect();
    let crossed = groups.iter().any(|(group, pairs)| pairs.iter().any(|(_, new)| home.get(new).is_some_and(|at| *at != group)));
    let renamed: BTreeSet<&Key> = edits.renamed.iter().map(|renamed| &renamed.old).collect();
    if crossed {
        let all: Vec<(Key, Key)> = groups.into_values().flatten().collect();
        push(String::new(), true, all, &renamed, steps);
    } else {
        for ((stock, group), pairs) in groups {
            push(group, stock, pairs, &renamed, steps);
        }
    }
}

fn push(group: String, stock: bool, pairs: Vec<(Key, Key)>, renamed: &BTreeSet<&Key>, steps: &mut Steps) {
    let told: Vec<String> = pairs
        .iter()
        .filter(|(old, new)| renamed.contains(old) || new.path.contains(" (goes)"))
        .map(|(old, new)| format!("{} `{}` as `{}`", new.kind.noun(), old.shown(), new.shown()))
        .collect();
    let (headline, detail) = match (told.as_slice(), stock) {
        ([one], true) => (format!("change the name on the stock label: {one}"), Vec::new()),
        ([one], false) => (format!("relabel {one}"), Vec::new()),
        (_, true) => ("change names on stock labels and in lists".to_owned(), told),
        (_, false) => (format!("relabel in `{group}`"), told),
    };
    let loom = pairs.iter().any(|(_, new)| matches!(new.kind, Kind::Loom | Kind::Wire | Kind::End)).then_some(group);
    steps.push(Stage::Relabel, loom.filter(|loom| !loom.is_empty()), headline, detail, vec![Action::Relabel(pairs)]);
}
