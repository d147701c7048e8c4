//! The trees of several files joined to one: things of one name are one thing, key by key, whichever file gives which key.
//!
//! Owns which keys a design has once, however many files it has, and what is said of a key that two files give. It works on the
//! trees, before records are read: no record has to know of it, and what must be there is judged on the whole thing. Cost: the
//! entries of the maps that two files share, once; a design of one file pays nothing.

use super::{Attribute, collect::Findings, repeated::called, row, rules};
use crate::text::{Kind, Name, Names, NodeId, Tree};
use rustc_hash::FxHashMap;

/// Keys that are of a file and not of its design: each file may have them.
const OF_FILES: [Attribute; 3] = [Attribute::Format, Attribute::Note, Attribute::From];
/// Lists at the top to which each file adds.
const GATHERED: [Attribute; 3] = [Attribute::Include, Attribute::Waivers, Attribute::Retired];

/// The trees of the files read so far, in one.
#[derive(Debug, Default)]
pub(super) struct Forest {
    tree: Tree,
    /// The map at the top of each file, in the order in which the files were read.
    roots: Vec<NodeId>,
}

impl Forest {
    /// Adds the tree of a file, with the map at its top.
    pub(super) fn add(&mut self, tree: Tree, root: NodeId) {
        if self.roots.is_empty() {
            self.tree = tree;
            self.roots.push(root);
        } else {
            let root = self.tree.append(&tree, root);
            self.roots.push(root);
        }
    }

    /// The maps at the top of the files, in the order in which these were read.
    pub(super) fn tops(&self) -> (&Tree, &[NodeId]) {
        (&self.tree, &self.roots)
    }

    /// The one tree with its top; `None` if no file had one.
    pub(super) fn join(self, findings: &mut Findings, names: &Names) -> Option<Joined> {
        let Self { tree, roots } = self;
        let first = *roots.first()?;
        if roots.len() == 1 {
            return Some(Joined { tree, top: first, of_files: Vec::new() });
        }
        let mut joiner = Joiner { tree, names, findings, done: FxHashMap::default(), way: Vec::new(), of_files: Vec::new() };
        let top = joiner.maps(first, &roots);
        Some(Joined { tree: joiner.tree, top, of_files: joiner.of_files })
    }
}

/// The trees of all files in one.
pub(super) struct Joined {
    pub(super) tree: Tree,
    /// The map at the top.
    pub(super) top: NodeId,
    /// What is of a file alone and was left out of the whole, by its key.
    pub(super) of_files: Vec<(Name, NodeId)>,
}

/// A key with its value.
type Pair = (NodeId, NodeId);

struct Joiner<'a> {
    tree: Tree,
    names: &'a Names,
    findings: &'a mut Findings,
    /// Maps that were joined already: aliases may lead to the same ones again.
    done: FxHashMap<Vec<NodeId>, NodeId>,
    /// The keys that lead to the map that is being joined.
    way: Vec<Name>,
    of_files: Vec<(Name, NodeId)>,
}

impl Joiner<'_> {
    /// One map in the place of the `first` with the entries of all, in the order of the maps.
    fn maps(&mut self, first: NodeId, maps: &[NodeId]) -> NodeId {
        if let Some(done) = self.done.get(maps) {
            return *done;
        }
        let mut kept: Vec<Pair> = Vec::new();
        let mut at: FxHashMap<Name, usize> = FxHashMap::default();
        let mut more: Vec<(usize, Vec<Pair>)> = Vec::new();
        let mut known: FxHashMap<usize, usize> = FxHashMap::default();
        for map in maps {
            for (key, value) in self.tree.entries(*map) {
                let Some(name) = self.tree.text(key) else { continue };
                let index = *at.entry(name).or_insert(kept.len());
                if index == kept.len() {
                    kept.push((key, value));
                    continue;
                }
                let group = *known.entry(index).or_insert(more.len());
                if group == more.len() {
                    more.push((index, kept.get(index).copied().into_iter().collect()));
                }
                if let Some((_, pairs)) = more.get_mut(group) {
                    pairs.push((key, value));
                }
            }
        }
        for (index, pairs) in more {
            let joined = self.values(&pairs);
            if let (Some(place), Some(joined)) = (kept.get_mut(index), joined) {
                *place = joined;
            }
        }
        let incomplete = maps.iter().any(|map| self.tree.is_incomplete(*map));
        let whole = self.tree.push_like(first, kept.into_iter().flat_map(|(key, value)| [key, value]), incomplete);
        self.done.insert(maps.to_vec(), whole);
        whole
    }

    /// What several files write behind one key.
    fn values(&mut self, pairs: &[Pair]) -> Option<Pair> {
        let name = pairs.first().and_then(|(key, _)| self.tree.text(*key))?;
        let word = self.names.text(name);
        let is = |keys: &[Attribute]| keys.iter().any(|key| key.word() == word);
        if self.way.is_empty() && is(&OF_FILES) {
            self.of_files.extend(pairs.iter().skip(1).map(|(_, value)| (name, *value)));
            return pairs.first().copied();
        }
        // Two lists may each have a row of one thing.
        let is_row = |value: NodeId| self.tree.text(value).is_some_and(|text| row::number(self.names.text(text)).is_some());
        if word == Attribute::Row.word() && pairs.iter().all(|(_, value)| is_row(*value)) {
            return pairs.first().copied();
        }
        // A key without a value says nothing yet.
        let said: Vec<Pair> =
            pairs.iter().copied().filter(|(_, value)| !matches!(self.tree.kind(*value), Kind::Missing)).collect();
        let &[(key, value), ..] = said.as_slice() else { return pairs.first().copied() };
        if said.len() == 1 {
            return Some((key, value));
        }
        let nodes: Vec<NodeId> = said.iter().map(|(_, value)| *value).collect();
        let all = |kind: Kind| nodes.iter().all(|node| self.tree.kind(*node) == kind);
        if all(Kind::Map) {
            self.way.push(name);
            let whole = self.maps(value, &nodes);
            self.way.pop();
            return Some((key, whole));
        }
        if self.way.is_empty() && is(&GATHERED) && all(Kind::List) {
            let items: Vec<NodeId> = nodes.iter().flat_map(|node| self.tree.items(*node)).collect();
            let incomplete = nodes.iter().any(|node| self.tree.is_incomplete(*node));
            return Some((key, self.tree.push_like(value, items, incomplete)));
        }
        self.way.push(name);
        for (again, other) in said.iter().skip(1) {
            self.repeated((key, value), (*again, *other));
        }
        self.way.pop();
        Some((key, value))
    }

    /// Notes a key that two files give.
    fn repeated(&mut self, first: Pair, second: Pair) {
        let called = called(self.names, &self.way);
        let kind = |(_, value): Pair| match self.tree.kind(value) {
            Kind::Scalar { .. } => "a text",
            Kind::List => "a list",
            Kind::Map => "a map",
            Kind::Missing => "nothing",
        };
        let [here, there] = [second, first].map(kind);
        let [label, before] = if here == there {
            ["second time".to_owned(), "first time".to_owned()]
        } else {
            [format!("second time, as {here}"), format!("first time, as {there}")]
        };
        let place = |(key, _): Pair| self.tree.span(key);
        self.findings.push(
            rules::REPEATED_NAME
                .finding(place(second), format!("{called} is written in two files"))
                .label(label)
                .context(place(first), before)
                .help("take one of them out: files may share a thing, each key of it is in one of them"),
        );
    }
}
