//! What a branch did, in the names of what it comes from.

use crate::diff::{
    Revision,
    changes::{Change, changes},
    edits::{Edits, mapped},
    inventory::{Fact, FactKey, Inventory, Item, Key, Kind, Thing},
};
use crate::{
    design::Design,
    format::{Attribute, Class},
};
use std::collections::{BTreeMap, BTreeSet};

/// A branch; all keys but those of `Renaming::now` are names of the base.
#[derive(Debug)]
pub(super) struct Branch<'a> {
    /// The design of the branch.
    pub(super) design: &'a Design,
    /// The names of the base for those of the branch.
    pub(super) to_base: BTreeMap<Key, Key>,
    /// New facts of things that the base has.
    pub(super) altered: BTreeMap<(Key, FactKey), Option<Fact>>,
    /// Things that are gone.
    pub(super) removed: BTreeSet<Key>,
    /// Things that are new.
    pub(super) added: BTreeMap<Key, Thing>,
    /// The new whole and own names of things with another name.
    pub(super) renamed: BTreeMap<Key, (Key, String)>,
    told: Vec<Wording>,
    on: BTreeMap<Key, Vec<usize>>,
}

/// A change in words, and what of a thing it is about.
#[derive(Debug)]
struct Wording {
    words: String,
    about: About,
}

/// What of a thing a change is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum About {
    /// All of it: that it is there.
    Whole,
    /// Its name.
    Name,
    /// One fact.
    Fact(FactKey),
}

impl<'a> Branch<'a> {
    pub(super) fn new(base: &Inventory, revision: Revision<'a>) -> Self {
        let inventory = revision.inventory;
        let edits = Edits::between(base, inventory);
        let mut to_base: BTreeMap<Key, Key> = edits.new_keys(base).into_iter().map(|(old, new)| (new, old)).collect();
        for (key, thing) in &edits.added {
            let called = called_in_base(key, thing, inventory, &to_base);
            to_base.insert(key.clone(), called);
        }
        let told_in_base = |fact: &Fact| mapped(fact, |key| to_base.get(key).cloned());
        let altered = edits.altered.iter().map(|alteration| {
            ((alteration.old_key.clone(), alteration.fact.clone()), alteration.new.as_ref().map(&told_in_base))
        });
        let added = edits.added.iter().map(|(key, thing)| {
            let facts = thing.facts.iter().map(|(name, fact)| (name.clone(), told_in_base(fact))).collect();
            let parent = thing.parent.as_ref().map(|parent| to_base.get(parent).unwrap_or(parent).clone());
            (to_base.get(key).unwrap_or(key).clone(), Thing { parent, name: thing.name.clone(), facts })
        });
        let renamed = edits.renamed.iter().map(|renamed| {
            let name = inventory.things.get(&renamed.new).map_or_else(String::new, |thing| thing.name.clone());
            (renamed.old.clone(), (renamed.new.clone(), name))
        });
        let mut branch = Self {
            design: revision.design,
            to_base: BTreeMap::new(),
            altered: altered.collect(),
            removed: edits.removed.iter().map(|(key, _)| key.clone()).collect(),
            added: added.collect(),
            renamed: renamed.collect(),
            told: Vec::new(),
            on: BTreeMap::new(),
        };
        for change in changes(&edits) {
            branch.tell(&change, &to_base);
        }
        branch.to_base = to_base;
        branch
    }

    fn tell(&mut self, change: &Change, to_base: &BTreeMap<Key, Key>) {
        let in_base = |key: &Key| to_base.get(key).unwrap_or(key).clone();
        let (things, about): (Vec<Key>, About) = match change {
            // The ends of wires and the signals of pins are reported as swapped alike.
            Change::Removed { key, parts, .. } => {
                (parts.iter().map(|(key, _)| key).chain([key]).cloned().collect(), About::Whole)
            }
            Change::Added { key, parts, .. } => {
                (parts.iter().map(|(key, _)| key).chain([key]).map(in_base).collect(), About::Whole)
            }
            Change::Renamed(renamed) => (vec![renamed.old.clone()], About::Name),
            Change::Moved { old_key, .. } => (vec![old_key.clone()], About::Fact(Attribute::Ends.into())),
            Change::Exchanged { members, .. } => {
                (members.iter().map(|(key, _)| in_base(key)).collect(), About::Fact(Attribute::Ends.into()))
            }
            Change::Altered(alteration) => (vec![alteration.old_key.clone()], About::Fact(alteration.fact.clone())),
        };
        for key in things {
            self.on.entry(key).or_default().push(self.told.len());
        }
        self.told.push(Wording { words: change.headline(), about });
    }

    /// What it did to a thing, in words.
    pub(super) fn did(&self, key: &Key) -> Vec<String> {
        self.told_of(key, |_| true)
    }

    /// What it did to one fact of a thing, or to its name.
    pub(super) fn did_to(&self, key: &Key, what: &About) -> Vec<String> {
        let some = self.told_of(key, |told| told.about == About::Whole || told.about == *what);
        if some.is_empty() { self.did(key) } else { some }
    }

    fn told_of(&self, key: &Key, wanted: impl Fn(&Wording) -> bool) -> Vec<String> {
        let numbers = self.on.get(key).into_iter().flatten();
        let mut words: Vec<String> = numbers
            .filter_map(|number| self.told.get(*number))
            .filter(|told| wanted(told))
            .map(|told| told.words.clone())
            .collect();
        words.dedup();
        words
    }

    /// What a fact is now: as it was where this branch left it alone. `None` too for things that are gone.
    pub(super) fn fact<'b>(&'b self, base: &'b Inventory, key: &Key, name: &FactKey) -> Option<&'b Fact> {
        if self.removed.contains(key) {
            return None;
        }
        match self.altered.get(&(key.clone(), name.clone())) {
            Some(now) => now.as_ref(),
            None => self.added.get(key).or_else(|| base.things.get(key))?.facts.get(name),
        }
    }

    /// What a fact that it altered means.
    pub(super) fn class(&self, base: &Inventory, key: &Key, name: &FactKey) -> Option<&'static Class> {
        let now = self.altered.get(&(key.clone(), name.clone())).and_then(Option::as_ref);
        Some(now.or_else(|| base.things.get(key)?.facts.get(name))?.class)
    }

    /// Facts that say something new: of which thing, which fact, what it says now.
    pub(super) fn new_facts(&self) -> impl Iterator<Item = (&Key, &FactKey, &Fact)> {
        let altered = self.altered.iter().filter_map(|((key, name), fact)| Some((key, name, fact.as_ref()?)));
        let added = self.added.iter().flat_map(|(key, thing)| thing.facts.iter().map(move |(name, fact)| (key, name, fact)));
        altered.chain(added)
    }
}

/// The name of a new thing under what it is in, as the base calls that.
fn called_in_base(key: &Key, thing: &Thing, inventory: &Inventory, to_base: &BTreeMap<Key, Key>) -> Key {
    let Some(parent) = &thing.parent else { return key.clone() };
    let above = match (to_base.get(parent), inventory.things.get(parent)) {
        (Some(known), _) => known.clone(),
        (None, Some(thing)) => called_in_base(parent, thing, inventory, to_base),
        (None, None) => return key.clone(),
    };
    Key::new(key.kind, format!("{}.{}", above.path, thing.name))
}

/// A thing as the base calls it, with what it is.
pub(super) fn called(key: &Key) -> String {
    if key.path.is_empty() { format!("the {}", key.kind.noun()) } else { format!("{} `{}`", key.kind.noun(), key.shown()) }
}

/// A fact in words, whole names written out.
pub(super) fn worded(fact: Option<&Fact>) -> String {
    let Some(fact) = fact else { return "nothing".to_owned() };
    fact.joined(|item| match item {
        Item::Word(word) => word.clone(),
        Item::Thing(key, rest) if rest.is_empty() => key.shown().to_owned(),
        Item::Thing(key, rest) => format!("{}.{rest}", key.shown()),
    })
}

/// The things named by a fact that an earlier one did not name.
pub(super) fn newly_named<'a>(now: &'a Fact, before: Option<&Fact>) -> Vec<&'a Item> {
    let mut before: Vec<&Item> = before.map(|fact| fact.items.iter().collect()).unwrap_or_default();
    let mut new = Vec::new();
    for item in &now.items {
        match before.iter().position(|known| *known == item) {
            Some(at) => drop(before.remove(at)),
            None => new.push(item),
        }
    }
    new
}

/// Whether `key` is `top` or is in it.
pub(super) fn lies_in(key: &Key, top: &Key, inventories: &[&BTreeMap<Key, Thing>]) -> bool {
    let mut at = key.clone();
    // Nothing is nested deeper than loom, end; or device, port, pin.
    for _ in 0..8 {
        if at == *top {
            return true;
        }
        let above = inventories.iter().find_map(|things| things.get(&at)).and_then(|thing| thing.parent.clone());
        match above {
            Some(parent) => at = parent,
            None => return false,
        }
    }
    false
}

/// Whether a thing can hold others, so that its name is in the names of those.
pub(super) fn is_container(kind: Kind) -> bool {
    matches!(kind, Kind::Device | Kind::DeviceKind | Kind::Loom | Kind::Port)
}
