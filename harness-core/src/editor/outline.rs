//! The outline of a file: its things, each with what is in it, and what may be folded.

use super::{
    index::Index,
    symbols::{Sort, SymbolId},
};
use crate::{
    format::Kind,
    text::{self, FileId, Names, NodeId, Sources, Span, Tree},
};

/// A thing of a file with the things in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outline {
    /// The thing.
    pub symbol: SymbolId,
    /// Its name.
    pub key: Span,
    /// From its name to the end of what is said of it.
    pub whole: Span,
    /// What is in it, in the order written.
    pub inner: Vec<Outline>,
}

/// The things of a file in the order written; pins and labels are left out.
#[must_use]
pub fn outline(index: &Index, file: FileId) -> Vec<Outline> {
    let shown = |symbol: SymbolId| match index.sort(symbol) {
        Some(Sort::Thing(kind)) => kind != Kind::Pin,
        Some(Sort::Cover | Sort::Node) => true,
        _ => false,
    };
    let definitions =
        index.gathered.definitions.iter().filter(|definition| definition.key.file == file && shown(definition.symbol));
    let mut flat: Vec<Outline> = definitions
        .map(|definition| Outline { symbol: definition.symbol, key: definition.key, whole: definition.whole, inner: Vec::new() })
        .collect();
    flat.sort_by_key(|item| (item.whole.start, std::cmp::Reverse(item.whole.end), item.symbol));
    // A place that an alias means twice is shown once.
    flat.dedup_by_key(|item| item.key);
    let mut open: Vec<Outline> = Vec::new();
    let mut top = Vec::new();
    for item in flat {
        while open.last().is_some_and(|last| last.whole.end < item.whole.end || last.whole.end <= item.key.start) {
            close(&mut open, &mut top);
        }
        open.push(item);
    }
    while !open.is_empty() {
        close(&mut open, &mut top);
    }
    top
}

fn close(open: &mut Vec<Outline>, top: &mut Vec<Outline>) {
    let Some(done) = open.pop() else { return };
    match open.last_mut() {
        Some(parent) => parent.inner.push(done),
        None => top.push(done),
    }
}

/// A stretch of lines that may be folded: from the line of its key to its last, both from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fold {
    /// The line that stays.
    pub first: usize,
    /// The last line.
    pub last: usize,
}

/// Each key whose value goes over several lines: looms, devices, their lists.
#[must_use]
pub fn folds(sources: &Sources, file: FileId) -> Vec<Fold> {
    let mut names = Names::new();
    let parsed = text::parse(sources, file, &mut names);
    let (Some(source), Some(root)) = (sources.file(file), parsed.root) else { return Vec::new() };
    let mut folds = Vec::new();
    let mut waiting: Vec<NodeId> = vec![root];
    while let Some(node) = waiting.pop() {
        for (key, value) in parsed.tree.entries(node) {
            let (first, last) = (source.line_of(parsed.tree.span(key).start), last_line(source, &parsed.tree, value));
            let is_behind = parsed.tree.span(value).start >= parsed.tree.span(key).end;
            if is_behind && last > first {
                folds.push(Fold { first, last });
                waiting.push(value);
            }
        }
        waiting.extend(parsed.tree.items(node));
    }
    folds.sort_unstable();
    folds.dedup();
    folds
}

fn last_line(source: &text::SourceFile, tree: &Tree, node: NodeId) -> usize {
    source.line_of(tree.span(node).end)
}
