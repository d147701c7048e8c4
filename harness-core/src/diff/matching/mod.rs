//! Which thing of one revision is which of the other.
//!
//! A name is an identity: what bears the same name in both revisions is the same thing. What is left over is recognised by what it
//! joins: first by everything that is known of it and its neighbours, then by its joints alone, in the end by most of its joints. A
//! kind of part is what its facts say: it is never recognised by who uses it. A pair is made only where no other would do as well, and
//! only within what is one thing in both revisions; what is in a new pair is paired by name before anything else.
//!
//! Idea: things take colours that are refined by the colours of those they are joined to, until nothing moves (the colouring
//! of graphs by Weisfeiler and Leman, 1968); a colour that one thing of each revision has is a pair. Cost: linear in the joints of what
//! is left over, times the rounds.

mod graph;
mod overlap;
mod refinement;

use self::graph::Graph;
use super::inventory::{Inventory, Key, Kind};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

pub(super) use self::refinement::Strictness;

/// A thing with another name in each revision, and why it is held for the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renamed {
    /// What it was called.
    pub old: Key,
    /// What it is called now.
    pub new: Key,
    /// What this rests on: what it joins, in the names of the new revision.
    pub rests_on: Vec<String>,
}

/// Who is who.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Pairs {
    /// The things of both revisions, by old key.
    pub same: BTreeMap<Key, Key>,
    /// Those whose own name changed.
    pub renamed: Vec<Renamed>,
}

/// Finds the things of `old` in `new`.
#[must_use]
pub fn pairs(old: &Inventory, new: &Inventory) -> Pairs {
    let (old, new) = (Graph::new(old), Graph::new(new));
    let mut search = Search { made: Made::new(&old, &new), old, new };
    search.by_name(vec![(search.old.top.clone(), search.new.top.clone())]);
    while search.left() && search.step() {}
    search.result()
}

/// The pairs that were made, as numbers both ways.
#[derive(Debug)]
struct Made {
    to_new: Vec<Option<u32>>,
    to_old: Vec<Option<u32>>,
}

impl Made {
    fn new(old: &Graph<'_>, new: &Graph<'_>) -> Self {
        Self { to_new: vec![None; old.count() as usize], to_old: vec![None; new.count() as usize] }
    }

    fn new_of(&self, old: u32) -> Option<u32> {
        self.to_new.get(old as usize).copied().flatten()
    }

    fn old_of(&self, new: u32) -> Option<u32> {
        self.to_old.get(new as usize).copied().flatten()
    }

    fn pair(&mut self, old: u32, new: u32) {
        if let (Some(to_new), Some(to_old)) = (self.to_new.get_mut(old as usize), self.to_old.get_mut(new as usize)) {
            (*to_new, *to_old) = (Some(new), Some(old));
        }
    }
}

struct Search<'a> {
    old: Graph<'a>,
    new: Graph<'a>,
    made: Made,
}

impl Search<'_> {
    /// Pairs what bears the same name within the same parent, from `waiting` down: parts of one thing on either side.
    fn by_name(&mut self, mut waiting: Vec<(Vec<u32>, Vec<u32>)>) {
        while let Some((olds, news)) = waiting.pop() {
            let named: FxHashMap<(Kind, &str), u32> = news
                .iter()
                .filter(|number| self.made.old_of(**number).is_none())
                .filter_map(|number| self.new.thing(*number).map(|(key, thing)| ((key.kind, thing.name.as_str()), *number)))
                .collect();
            for old in olds.into_iter().filter(|old| self.made.new_of(*old).is_none()).collect::<Vec<_>>() {
                let Some((key, thing)) = self.old.thing(old) else { continue };
                let Some(new) = named.get(&(key.kind, thing.name.as_str())).copied() else { continue };
                self.made.pair(old, new);
                waiting.extend(self.inner(old, new));
            }
        }
    }

    /// The parts of a pair, where both have some.
    fn inner(&self, old: u32, new: u32) -> Option<(Vec<u32>, Vec<u32>)> {
        let (inner, other) = (self.old.children(old), self.new.children(new));
        (!inner.is_empty() && !other.is_empty()).then(|| (inner.to_vec(), other.to_vec()))
    }

    /// Whether both revisions have things that are not paired.
    fn left(&self) -> bool {
        self.made.to_new.contains(&None) && self.made.to_old.contains(&None)
    }

    /// Makes the pairs of the strictest way that makes any.
    fn step(&mut self) -> bool {
        for strictness in [Strictness::Named, Strictness::Facts, Strictness::Own, Strictness::Joints] {
            let found = refinement::pairs(&self.old, &self.new, &self.made, strictness);
            if self.take(found) {
                return true;
            }
        }
        let found = overlap::pairs(&self.old, &self.new, &self.made);
        self.take(found)
    }

    /// Makes those of the pairs that are in one and the same thing; what is in them is paired by name before anything else.
    fn take(&mut self, found: Vec<(u32, u32)>) -> bool {
        let mut taken = Vec::new();
        for (old, new) in found {
            let together = match (self.old.parent(old), self.new.parent(new)) {
                (None, None) => true,
                (Some(parent), Some(other)) => self.made.new_of(parent) == Some(other),
                _ => false,
            };
            if together {
                taken.push((old, new));
            }
        }
        for (old, new) in &taken {
            self.made.pair(*old, *new);
        }
        let waiting = taken.iter().filter_map(|(old, new)| self.inner(*old, *new)).collect();
        self.by_name(waiting);
        !taken.is_empty()
    }

    fn result(&self) -> Pairs {
        let mut pairs = Pairs::default();
        for old in 0..self.old.count() {
            let Some(new) = self.made.new_of(old) else { continue };
            let (Some((old_key, old_thing)), Some((new_key, new_thing))) = (self.old.thing(old), self.new.thing(new)) else {
                continue;
            };
            pairs.same.insert(old_key.clone(), new_key.clone());
            if old_thing.name != new_thing.name {
                let rests_on = overlap::rests_on(&self.old, &self.new, &self.made, (old, new));
                pairs.renamed.push(Renamed { old: old_key.clone(), new: new_key.clone(), rests_on });
            }
        }
        pairs
    }
}
