//! What must be done to the inventory of one revision to get that of the other: the whole difference, nothing left out.

use super::{
    inventory::{Fact, FactKey, Inventory, Item, Key, Kind, Thing},
    matching::{Pairs, Renamed, pairs},
};
use crate::format::Class;
use std::collections::BTreeMap;

/// One fact of a thing that both revisions have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alteration {
    /// The thing in the old revision.
    pub old_key: Key,
    /// The same thing in the new one.
    pub new_key: Key,
    /// The fact.
    pub fact: FactKey,
    /// What the fact means.
    pub class: &'static Class,
    /// What it was; `None` where nothing was said.
    pub old: Option<Fact>,
    /// What it is now.
    pub new: Option<Fact>,
}

/// The whole difference between two revisions. Empty if they say the same.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Edits {
    /// Things with another name.
    pub renamed: Vec<Renamed>,
    /// Things that are gone, with what lay in them, in the order of their keys.
    pub removed: Vec<(Key, Thing)>,
    /// Things that are new.
    pub added: Vec<(Key, Thing)>,
    /// Facts that are others, by the new key.
    pub altered: Vec<Alteration>,
}

impl Edits {
    /// What leads from `old` to `new`.
    #[must_use]
    pub fn between(old: &Inventory, new: &Inventory) -> Self {
        let Pairs { same, renamed } = pairs(old, new);
        let names = InNewNames { same: &same, new };
        let mut edits = Self { renamed, ..Self::default() };
        let mut met: BTreeMap<&Key, ()> = BTreeMap::new();
        for (key, thing) in &old.things {
            let Some((new_key, now)) = same.get(key).and_then(|key| new.things.get_key_value(key)) else {
                edits.removed.push((key.clone(), thing.clone()));
                continue;
            };
            met.insert(new_key, ());
            let facts = thing.facts.keys().chain(now.facts.keys().filter(|fact| !thing.facts.contains_key(*fact)));
            for fact in facts {
                let (old, new) = (thing.facts.get(fact), now.facts.get(fact));
                let Some(class) = new.or(old).map(|fact| fact.class) else { continue };
                if old.map(|old| names.fact(old)).as_ref() != new {
                    edits.altered.push(Alteration {
                        old_key: key.clone(),
                        new_key: new_key.clone(),
                        fact: fact.clone(),
                        class,
                        old: old.cloned(),
                        new: new.cloned(),
                    });
                }
            }
        }
        let added = new.things.iter().filter(|(key, _)| !met.contains_key(key));
        edits.added = added.map(|(key, thing)| (key.clone(), thing.clone())).collect();
        edits.sort();
        edits
    }

    /// Whether both revisions say the same.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.renamed.is_empty() && self.removed.is_empty() && self.added.is_empty() && self.altered.is_empty()
    }

    /// The difference the other way round. What a renaming rests on is given in the names of the new revision and stays out.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let turn = |renamed: &Renamed| Renamed { old: renamed.new.clone(), new: renamed.old.clone(), rests_on: Vec::new() };
        let mut edits = Self {
            renamed: self.renamed.iter().map(turn).collect(),
            removed: self.added.clone(),
            added: self.removed.clone(),
            altered: self
                .altered
                .iter()
                .map(|alteration| Alteration {
                    old_key: alteration.new_key.clone(),
                    new_key: alteration.old_key.clone(),
                    fact: alteration.fact.clone(),
                    class: alteration.class,
                    old: alteration.new.clone(),
                    new: alteration.old.clone(),
                })
                .collect(),
        };
        edits.sort();
        edits
    }

    /// Does all of it to `old`.
    #[must_use]
    pub fn apply(&self, old: &Inventory) -> Inventory {
        let same = self.new_keys(old);
        let renamed: BTreeMap<&Key, &Key> = self.renamed.iter().map(|renamed| (&renamed.old, &renamed.new)).collect();
        let mut inventory = Inventory::default();
        for (key, thing) in &old.things {
            let Some(new_key) = same.get(key) else { continue };
            let facts = thing.facts.iter().map(|(name, fact)| (name.clone(), mapped(fact, |key| same.get(key).cloned())));
            let name = renamed.get(key).map_or_else(|| thing.name.clone(), |new| own_name(new, &same, thing));
            let parent = thing.parent.as_ref().and_then(|parent| same.get(parent).cloned());
            inventory.things.insert(new_key.clone(), Thing { parent, name, facts: facts.collect() });
        }
        for alteration in &self.altered {
            let Some(thing) = inventory.things.get_mut(&alteration.new_key) else { continue };
            match &alteration.new {
                Some(fact) => thing.facts.insert(alteration.fact.clone(), fact.clone()),
                None => thing.facts.remove(&alteration.fact),
            };
        }
        inventory.things.extend(self.added.iter().cloned());
        inventory
    }

    /// The new key of all things of `old` that stay.
    #[must_use]
    pub fn new_keys(&self, old: &Inventory) -> BTreeMap<Key, Key> {
        let renamed: BTreeMap<&Key, &Key> = self.renamed.iter().map(|renamed| (&renamed.old, &renamed.new)).collect();
        let removed: BTreeMap<&Key, ()> = self.removed.iter().map(|(key, _)| (key, ())).collect();
        let mut keys = BTreeMap::new();
        for (key, thing) in &old.things {
            if !removed.contains_key(key) {
                keys.insert(key.clone(), new_key(key, thing, old, &renamed));
            }
        }
        keys
    }

    fn sort(&mut self) {
        self.renamed.sort_by(|a, b| a.new.cmp(&b.new));
        self.altered.sort_by(|a, b| (&a.new_key, &a.fact).cmp(&(&b.new_key, &b.fact)));
    }
}

/// The key of a thing after all renamings of it and what it is in.
fn new_key(key: &Key, thing: &Thing, old: &Inventory, renamed: &BTreeMap<&Key, &Key>) -> Key {
    if let Some(new) = renamed.get(key) {
        return (*new).clone();
    }
    match thing.parent.as_ref().and_then(|parent| Some((parent, old.things.get(parent)?))) {
        Some((parent, above)) => Key::new(key.kind, format!("{}.{}", new_key(parent, above, old, renamed).path, thing.name)),
        None => key.clone(),
    }
}

/// The own name within a new key.
fn own_name(new: &Key, same: &BTreeMap<Key, Key>, thing: &Thing) -> String {
    let above = thing.parent.as_ref().and_then(|parent| same.get(parent));
    let name = match above {
        Some(parent) => new.path.strip_prefix(&format!("{}.", parent.path)),
        None if new.kind == Kind::DeviceKind => Some(new.shown()),
        None => None,
    };
    name.unwrap_or(&new.path).to_owned()
}

struct InNewNames<'a> {
    same: &'a BTreeMap<Key, Key>,
    new: &'a Inventory,
}

impl InNewNames<'_> {
    /// A fact of the old revision in the names of the new one.
    fn fact(&self, fact: &Fact) -> Fact {
        mapped(fact, |key| {
            self.same.get(key).cloned().or_else(|| {
                // Its name may belong to another thing now.
                self.new.things.contains_key(key).then(|| Key::new(key.kind, format!("former {}", key.path)))
            })
        })
    }
}

/// A fact with other names for things.
pub(super) fn mapped(fact: &Fact, rename: impl Fn(&Key) -> Option<Key>) -> Fact {
    let items = fact.items.iter().map(|item| match item {
        Item::Thing(key, rest) => Item::Thing(rename(key).unwrap_or_else(|| key.clone()), rest.clone()),
        word => word.clone(),
    });
    Fact::new(items.collect(), fact.class)
}
