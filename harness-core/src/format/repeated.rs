//! A key that is written twice, in words for whoever wrote it: two wires of one number are one mistake, whatever keys both entries have.

use super::reader::clip;
use crate::text::{Kind, Name, Names, NodeId, Parsed, Problem, ProblemKind, Span, Tree};
use rustc_hash::{FxHashMap, FxHashSet};

/// Where things with names are written: the way to them (`*` is any name), what one is called, and what it has that no other has.
const THINGS: &[(&[&str], &str, &str)] = &[
    (&["domains"], "domain", "name"),
    (&["zones"], "zone", "name"),
    (&["modes"], "mode", "name"),
    (&["networks"], "network", "name"),
    (&["devices"], "device", "name"),
    (&["devices", "*", "ports"], "port", "name"),
    (&["devices", "*", "ports", "*", "pins"], "pin", "number"),
    (&["devices", "*", "inside"], "element", "name"),
    (&["looms"], "loom", "name"),
    (&["looms", "*", "ends"], "end", "name"),
    (&["looms", "*", "splices"], "splice", "name"),
    (&["looms", "*", "cables"], "cable", "name"),
    (&["looms", "*", "wires"], "wire", "number"),
    (&["looms", "*", "route"], "segment", "name"),
    (&["looms", "*", "inside"], "element", "name"),
    (&["parts", "housings"], "housing kind", "name"),
    (&["parts", "terminals"], "terminal kind", "name"),
    (&["parts", "points"], "point kind", "name"),
    (&["parts", "conductors"], "conductor kind", "name"),
    (&["parts", "cables"], "cable kind", "name"),
    (&["parts", "cables", "*", "cores"], "core", "name"),
    (&["parts", "fuses"], "fuse kind", "name"),
    (&["parts", "devices"], "device kind", "name"),
    (&["parts", "devices", "*", "ports"], "port", "name"),
    (&["parts", "devices", "*", "ports", "*", "pins"], "pin", "number"),
    (&["parts", "devices", "*", "inside"], "element", "name"),
];

/// The problems of a file, with repeated names of things in words and without the keys that repeat only because their thing does.
pub(super) fn in_words(parsed: &Parsed, names: &Names, problems: Vec<Problem>) -> Vec<Problem> {
    let first_of = |problem: &Problem| problem.context.as_ref().map(|(first, _)| *first);
    let asked: FxHashSet<Span> =
        problems.iter().filter(|problem| problem.kind == ProblemKind::RepeatedKey).filter_map(first_of).collect();
    let (Some(root), false) = (parsed.root, asked.is_empty()) else { return problems };
    let mut ways = Ways { tree: &parsed.tree, asked: &asked, seen: FxHashSet::default(), found: FxHashMap::default() };
    ways.walk(root, &mut Vec::new());
    let twice: FxHashSet<&[Name]> = ways.found.values().filter(|way| thing(names, way).is_some()).map(Vec::as_slice).collect();
    let follows = |way: &[Name]| (1..way.len()).any(|length| way.get(..length).is_some_and(|before| twice.contains(before)));
    let reword = |problem: Problem| {
        if problem.kind != ProblemKind::RepeatedKey {
            return Some(problem);
        }
        let Some(way) = first_of(&problem).and_then(|first| ways.found.get(&first)) else { return Some(problem) };
        if follows(way) {
            return None;
        }
        Some(match thing(names, way) {
            Some(thing) => thing.words(problem),
            None => problem,
        })
    };
    problems.into_iter().filter_map(reword).collect()
}

/// The ways from the root to the keys that were asked for.
struct Ways<'a> {
    tree: &'a Tree,
    asked: &'a FxHashSet<Span>,
    seen: FxHashSet<NodeId>,
    found: FxHashMap<Span, Vec<Name>>,
}

impl Ways<'_> {
    fn walk(&mut self, node: NodeId, way: &mut Vec<Name>) {
        // A marked map that is used in several places is walked at the first.
        if self.tree.kind(node) != Kind::Map || !self.seen.insert(node) {
            return;
        }
        let tree = self.tree;
        for (key, value) in tree.entries(node) {
            let Some(name) = tree.text(key) else { continue };
            way.push(name);
            let span = tree.span(key);
            if self.asked.contains(&span) {
                self.found.insert(span, way.clone());
            }
            self.walk(value, way);
            way.pop();
        }
    }
}

/// What a key is, by the keys that lead to it.
pub(super) fn called(names: &Names, way: &[Name]) -> String {
    for length in (1..=way.len()).rev() {
        let (before, rest) = way.split_at(length);
        let Some(Thing { noun, name, .. }) = thing(names, before) else { continue };
        let thing = format!("{noun} `{name}`");
        return if rest.is_empty() { thing } else { format!("`{}` of {thing}", joined(names, rest)) };
    }
    format!("`{}`", joined(names, way))
}

fn joined(names: &Names, way: &[Name]) -> String {
    way.iter().map(|name| clip(names.text(*name))).collect::<Vec<_>>().join(".")
}

/// A thing with a name.
struct Thing {
    noun: &'static str,
    /// What one has that no other has.
    by: &'static str,
    /// Its name as findings show it: `low.10`.
    name: String,
}

impl Thing {
    fn words(&self, mut problem: Problem) -> Problem {
        let Self { noun, by, name } = self;
        problem.headline = format!("there are two {noun}s `{name}`");
        problem.label = format!("the second {noun} `{name}`");
        problem.help = format!("give one of them another {by}, or take one out");
        problem.context = problem.context.map(|(first, _)| (first, format!("the first {noun} `{name}`")));
        problem
    }
}

/// What a way leads to, if that is a thing with a name.
fn thing(names: &Names, way: &[Name]) -> Option<Thing> {
    let (last, before) = way.split_last()?;
    let texts: Vec<&str> = before.iter().map(|name| names.text(*name)).collect();
    let fits = |pattern: &[&str]| {
        pattern.len() == texts.len() && pattern.iter().zip(&texts).all(|(one, text)| *one == "*" || one == text)
    };
    let (pattern, noun, by) = THINGS.iter().find(|(pattern, ..)| fits(pattern))?;
    // A thing goes by its own name and those of what it is in.
    let holders = pattern.iter().zip(&texts).filter(|(one, _)| **one == "*").map(|(_, text)| *text);
    let parts: Vec<String> = holders.chain([names.text(*last)]).map(clip).collect();
    Some(Thing { noun, by, name: parts.join(".") })
}
