//! What both branches say of the same things: facts, names, being there at all.

use super::{
    Found, Grade,
    branch::{About, Branch, called, is_container, lies_in, newly_named, worded},
};
use crate::{
    diff::inventory::{Fact, FactKey, Inventory, Item, Key, Kind, Thing},
    format::{Attribute, Class, Current, Naming, Order, Work},
};
use std::collections::{BTreeMap, BTreeSet};

/// What looks the same from both branches.
pub(super) fn both_ways(base: &Inventory, ours: &Branch<'_>, theirs: &Branch<'_>, found: &mut Found) {
    same_fact(base, ours, theirs, found);
    same_new_name(ours, theirs, found);
    for (key, (mine, name)) in &ours.renamed {
        let Some((other, _)) = theirs.renamed.get(key).filter(|(_, its)| its != name) else { continue };
        let (one, two) = in_order(mine.shown().to_owned(), other.shown().to_owned());
        let headline = format!("{} is renamed by both, to `{one}` and to `{two}`", called(key));
        let help = format!("agree on one name for {}", called(key));
        found.add(
            Grade::Certain,
            vec![key.clone()],
            headline,
            (ours.did_to(key, &About::Name), theirs.did_to(key, &About::Name)),
            help,
        );
    }
}

/// What one branch does to what the other does.
pub(super) fn one_way(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    removed_under(base, mine, other, found);
    name_taken(base, mine, other, found);
    old_name(base, mine, other, found);
    moved_and_cut(base, mine, other, found);
    retired_and_given(base, mine, other, found);
}

fn same_fact(base: &Inventory, ours: &Branch<'_>, theirs: &Branch<'_>, found: &mut Found) {
    for ((key, name), mine) in &ours.altered {
        let Some(other) = theirs.altered.get(&(key.clone(), name.clone())).filter(|other| *other != mine) else { continue };
        let before = base.things.get(key).and_then(|thing| thing.facts.get(name));
        let about = About::Fact(name.clone());
        let did = (ours.did_to(key, &about), theirs.did_to(key, &about));
        if *name == Attribute::Ends && key.kind == Kind::Wire {
            let left = |fact: &Option<Fact>| before.map(|before| gone(before, fact.as_ref())).unwrap_or_default();
            let (mine, other) = (left(mine), left(other));
            if mine.iter().any(|end| other.contains(end)) {
                let headline = format!("both move the same end of {}, to different places", called(key));
                let help = format!("decide where that end of {} goes; cut and mark it for that place", called(key));
                found.add(Grade::Certain, vec![key.clone()], headline, did, help);
            } else {
                let headline = format!("both move {}, each a different end", called(key));
                let help = format!(
                    "make sure that {} still joins what it must with both ends moved, and measure its length again",
                    called(key)
                );
                found.add(Grade::Look, vec![key.clone()], headline, did, help);
            }
            continue;
        }
        let facts = [before, mine.as_ref(), other.as_ref()];
        let is_set = facts.iter().flatten().all(|fact| !fact.is_ordered());
        let is_of_modes = facts.iter().flatten().any(|fact| fact.class.order == Order::Modes);
        // What comes to a set or leaves it does so in both. Only of modes does an empty set say something else: all of them.
        if is_set && (facts.iter().all(Option::is_some) || !is_of_modes) {
            continue;
        }
        let (one, two) = in_order(worded(mine.as_ref()), worded(other.as_ref()));
        let headline = format!("{}, `{name}`: set to {one} by one and to {two} by the other", called(key));
        let help = format!("decide which `{name}` {} has; it was {}", called(key), worded(before));
        found.add(Grade::Certain, vec![key.clone()], headline, did, help);
    }
}

/// The same words whichever branch is called ours.
fn in_order(one: String, other: String) -> (String, String) {
    if one <= other { (one, other) } else { (other, one) }
}

/// What of a fact is no longer there.
fn gone<'a>(before: &'a Fact, now: Option<&Fact>) -> Vec<&'a Item> {
    newly_named(before, now)
}

/// Both add a thing of one name, and not the same thing.
fn same_new_name(ours: &Branch<'_>, theirs: &Branch<'_>, found: &mut Found) {
    for (key, thing) in &ours.added {
        let Some(other) = theirs.added.get(key) else { continue };
        let above =
            thing.parent.as_ref().is_some_and(|parent| ours.added.contains_key(parent) && theirs.added.contains_key(parent));
        if above || (thing == other && parts(&ours.added, key) == parts(&theirs.added, key)) {
            continue;
        }
        let headline = format!("both add {}, each a different one", called(key));
        let help = if key.kind == Kind::Wire {
            format!("give one of the two another number than `{}`", key.path)
        } else {
            format!("decide whether {} is one thing; if not, give one of the two another name", called(key))
        };
        found.add(Grade::Certain, vec![key.clone()], headline, (ours.did(key), theirs.did(key)), help);
    }
}

fn parts<'a>(added: &'a BTreeMap<Key, Thing>, top: &Key) -> Vec<(&'a Key, &'a Thing)> {
    added.iter().filter(|(key, _)| *key != top && lies_in(key, top, &[added])).collect()
}

/// One removes what the other changes, adds to, or names.
fn removed_under(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    let mut touched: BTreeMap<&Key, BTreeSet<&Key>> = BTreeMap::new();
    let inventories = [&base.things, &other.added];
    let top_of = |key: &Key| top_removed(base, mine, key);
    let keys = other.altered.keys().map(|(key, _)| key).chain(other.renamed.keys());
    for key in keys.filter(|key| !other.removed.contains(*key)) {
        if let Some(top) = top_of(key) {
            touched.entry(top).or_default().insert(key);
        }
    }
    for (key, thing) in &other.added {
        if let Some(top) = thing.parent.as_ref().and_then(&top_of) {
            touched.entry(top).or_default().insert(key);
        }
    }
    for (key, name, fact) in other.new_facts() {
        let before = base.things.get(key).and_then(|thing| thing.facts.get(name));
        for item in newly_named(fact, before) {
            let Item::Thing(named, _) = item else { continue };
            if let Some(top) = top_of(named).filter(|top| !lies_in(key, top, &inventories)) {
                touched.entry(top).or_default().insert(key);
            }
        }
    }
    for (top, keys) in touched {
        let mut did: Vec<String> = keys.iter().flat_map(|key| other.did(key)).collect();
        let mut seen = BTreeSet::new();
        did.retain(|words| seen.insert(words.clone()));
        let headline = format!("{} is removed by one, and the other builds on it", called(top));
        let help = format!("keep {}, or undo what the other did with it", called(top));
        let concerns: Vec<Key> = [top].into_iter().chain(keys.into_iter().filter(|key| *key != top)).cloned().collect();
        found.add(Grade::Certain, concerns, headline, (mine.did(top), did), help);
    }
}

/// The outermost thing that is gone and holds `key`, or is it.
fn top_removed<'a>(base: &Inventory, branch: &'a Branch, key: &Key) -> Option<&'a Key> {
    let mut top = None;
    let mut at = Some(key.clone());
    while let Some(key) = at {
        if let Some(removed) = branch.removed.get(&key) {
            top = Some(removed);
        }
        at = base.things.get(&key).and_then(|thing| thing.parent.clone());
    }
    top
}

/// One gives a thing a name that the other gives to another thing.
fn name_taken(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    for (key, (_, name)) in &mine.renamed {
        let parent = base.things.get(key).and_then(|thing| thing.parent.as_ref());
        let renamed = other.renamed.iter().filter(|(its, (_, called))| {
            *its != key
                && its.kind == key.kind
                && called == name
                && base.things.get(*its).and_then(|thing| thing.parent.as_ref()) == parent
        });
        let added = other
            .added
            .iter()
            .filter(|(its, thing)| its.kind == key.kind && thing.name == *name && thing.parent.as_ref() == parent);
        for its in renamed.map(|(its, _)| its).chain(added.map(|(its, _)| its)) {
            let mut concerns = vec![key.clone(), its.clone()];
            concerns.sort();
            let headline = format!(
                "two things are given the name `{name}`: {}",
                concerns.iter().map(called).collect::<Vec<_>>().join(" and ")
            );
            let help = format!("give one of the two another name than `{name}`");
            found.add(Grade::Certain, concerns, headline, (mine.did(key), other.did(its)), help);
        }
    }
}

/// One renames what the other comes to name by its old name.
fn old_name(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    for (key, name, fact) in other.new_facts() {
        let before = base.things.get(key).and_then(|thing| thing.facts.get(name));
        for item in newly_named(fact, before) {
            let Item::Thing(named, _) = item else { continue };
            let is_written_whole = match fact.class.naming {
                Naming::Mate | Naming::Concerned | Naming::Anywhere(_) => true,
                // Within a loom or device its own name is not written.
                Naming::InLoom(_) | Naming::Point | Naming::Nothing => false,
            };
            let Some(renamed) = called_otherwise(base, mine, other, named, is_written_whole) else { continue };
            let now = mine.renamed.get(renamed).map_or("", |(now, _)| now.shown());
            let headline =
                format!("{} is renamed by one, and {} of the other names it by its old name", called(renamed), called(key));
            let help = format!("name it `{now}` in {}", called(key));
            let did = (mine.did_to(renamed, &About::Name), other.did_to(key, &About::Fact(name.clone())));
            found.add(Grade::Certain, vec![renamed.clone(), key.clone()], headline, did, help);
        }
    }
}

/// The thing by whose old name `named` is written, where one branch has renamed it and the other has not.
fn called_otherwise<'a>(
    base: &'a Inventory,
    mine: &Branch<'_>,
    other: &Branch<'_>,
    named: &'a Key,
    is_written_whole: bool,
) -> Option<&'a Key> {
    let mut at = Some(named);
    while let Some(key) = at {
        if mine.renamed.contains_key(key) && !other.renamed.contains_key(key) {
            return Some(key);
        }
        at = base
            .things
            .get(key)
            .and_then(|thing| thing.parent.as_ref())
            .filter(|parent| is_written_whole && is_container(parent.kind));
    }
    None
}

/// One decides how thick or long a wire is, the other where it goes.
fn moved_and_cut(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    let ends = FactKey::from(Attribute::Ends);
    for (key, name) in mine.altered.keys().filter(|(key, name)| key.kind == Kind::Wire && *name != ends) {
        let class = mine.class(base, key, name);
        let decides =
            |class: &Class| class.current == Current::Conductor || matches!(class.work(), Some(Work::Length | Work::Lay));
        if !class.is_some_and(decides) {
            continue;
        }
        let moved = (key.clone(), ends.clone());
        let same = mine.altered.get(&moved).is_some_and(|mine| other.altered.get(&moved) == Some(mine));
        if !other.altered.contains_key(&moved) || same {
            continue;
        }
        // Where both decided the same of it, they knew what they did.
        if other.altered.get(&(key.clone(), name.clone())) == mine.altered.get(&(key.clone(), name.clone())) {
            continue;
        }
        let headline = format!("{}: one changes its `{name}`, the other where it goes", called(key));
        let was = worded(base.things.get(key).and_then(|thing| thing.facts.get(name)));
        let help = format!("decide the `{name}` of {} for its new route; it was {was}", called(key));
        found.add(
            Grade::Look,
            vec![key.clone()],
            headline,
            (mine.did_to(key, &About::Fact(name.clone())), other.did_to(key, &About::Fact(ends.clone()))),
            help,
        );
    }
}

/// One says that a wire number may never come back, the other gives it to a wire.
fn retired_and_given(base: &Inventory, mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    let added = other.added.iter().map(|(key, thing)| (key, &thing.name));
    let given = added.chain(other.renamed.iter().map(|(key, (_, name))| (key, name))).filter(|(key, _)| key.kind == Kind::Wire);
    let given: Vec<(&Key, &String)> = given.collect();
    for (key, name, fact) in mine.new_facts().filter(|(key, name, _)| key.kind == Kind::Design && **name == Attribute::Retired) {
        let before = base.things.get(key).and_then(|thing| thing.facts.get(name));
        for item in newly_named(fact, before) {
            let Item::Word(number) = item else { continue };
            for (wire, _) in given.iter().filter(|(wire, name)| *name == number || wire.path == *number) {
                let headline = format!("wire number `{number}` is retired by one and given to {} by the other", called(wire));
                let help = format!("give {} a number that was never used", called(wire));
                let did = (mine.did_to(key, &About::Fact(name.clone())), other.did(wire));
                found.add(Grade::Certain, vec![key.clone(), (*wire).clone()], headline, did, help);
            }
        }
    }
}
