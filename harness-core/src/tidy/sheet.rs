//! A text with its tree, as something to edit: entries taken out, put in, replaced.

use crate::text::{self, Kind, Names, NodeId, Sources, Tree};
use std::{collections::BTreeSet, ops::Range};

/// A text that was read.
pub(super) struct Sheet<'a> {
    pub text: &'a str,
    pub tree: Tree,
    pub root: Option<NodeId>,
    pub names: Names,
    /// Nothing is wrong with it.
    pub is_sound: bool,
}

/// What is replaced, and by what; an empty range is an insertion.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Edit {
    pub at: Range<usize>,
    pub text: String,
}

impl<'a> Sheet<'a> {
    pub fn new(text: &'a str) -> Self {
        let (mut sources, mut names) = (Sources::default(), Names::default());
        let decoded = text::decode(&mut sources, String::new(), text.as_bytes().to_vec());
        let Some(decoded) = decoded else { return Self { text, tree: Tree::default(), root: None, names, is_sound: false } };
        let parsed = text::parse(&sources, decoded.file, &mut names);
        let is_sound = decoded.problems.is_empty() && parsed.problems.is_empty();
        Self { text, tree: parsed.tree, root: parsed.root, names, is_sound }
    }

    /// The comments, sorted, from their `#` on: whatever begins so outside of every text.
    pub fn comments(&self) -> Vec<&'a str> {
        let mut texts: Vec<Range<usize>> = Vec::new();
        let mut seen = BTreeSet::new();
        let mut open: Vec<NodeId> = self.root.into_iter().collect();
        while let Some(node) = open.pop() {
            // A node behind an alias is met more than once.
            if !seen.insert(node) {
                continue;
            }
            match self.tree.kind(node) {
                Kind::Scalar { .. } => texts.push(self.range(node)),
                Kind::List => open.extend(self.tree.items(node)),
                Kind::Map => open.extend(self.tree.entries(node).flat_map(|(key, value)| [key, value])),
                Kind::Missing => {}
            }
        }
        texts.sort_by_key(|range| (range.start, range.end));
        let ends = texts.iter().map(|range| range.end);
        let starts = texts.iter().map(|range| range.start).chain([self.text.len()]);
        let gaps = std::iter::once(0).chain(ends).zip(starts);
        let mut comments: Vec<&str> = gaps.flat_map(|(from, to)| self.within(from, to)).collect();
        comments.sort_unstable();
        comments
    }

    /// The comments of a stretch without texts.
    fn within(&self, from: usize, to: usize) -> impl Iterator<Item = &'a str> {
        let stretch = self.text.get(from..to).unwrap_or_default();
        stretch.lines().filter_map(|line| {
            let begins =
                |at: &usize| line.get(..*at).is_some_and(|before| before.is_empty() || before.ends_with([' ', '\t', '\u{feff}']));
            let at = line.match_indices('#').map(|(at, _)| at).find(begins)?;
            line.get(at..).map(str::trim_end)
        })
    }

    /// The text of a scalar, without quotes.
    pub fn scalar(&self, node: NodeId) -> Option<&str> {
        self.tree.text(node).map(|name| self.names.text(name))
    }

    /// The value of a map behind a key.
    pub fn get(&self, map: NodeId, key: &str) -> Option<NodeId> {
        self.entry(map, key).map(|(_, value)| value)
    }

    /// A key of a map with its value.
    pub fn entry(&self, map: NodeId, key: &str) -> Option<(NodeId, NodeId)> {
        self.tree.entries(map).find(|(written, _)| self.scalar(*written) == Some(key))
    }

    /// Where a node is in the text.
    pub fn range(&self, node: NodeId) -> Range<usize> {
        let span = self.tree.span(node);
        span.start as usize..span.end as usize
    }

    /// A node as written.
    pub fn written(&self, node: NodeId) -> &'a str {
        self.text.get(self.range(node)).unwrap_or_default()
    }

    pub fn is_map(&self, node: NodeId) -> bool {
        matches!(self.tree.kind(node), Kind::Map)
    }

    /// Whether a map or list is in brackets.
    pub fn is_flow(&self, node: NodeId) -> bool {
        self.text.get(self.range(node).start..).is_some_and(|text| text.starts_with(['{', '[']))
    }

    /// Takes an entry out of a map that keeps another; `None` where it shares its lines with something that would go with it.
    pub fn without(&self, map: NodeId, key: &str) -> Option<Edit> {
        let entries: Vec<(NodeId, NodeId)> = self.tree.entries(map).collect();
        let at = entries.iter().position(|(written, _)| self.scalar(*written) == Some(key))?;
        let (own, value) = entries.get(at)?;
        let (start, end) = (self.range(*own).start, self.range(*value).end);
        if entries.len() < 2 || end < start {
            return None;
        }
        let cut = if !self.is_flow(map) {
            let from = self.line_start(start);
            let rest = self.text.get(end..)?;
            let line = rest.find('\n').map_or(rest.len(), |found| found + 1);
            let is_alone = self.text.get(from..start)?.trim().is_empty() && rest.get(..line)?.trim().is_empty();
            is_alone.then_some(from..end + line)?
        } else if at > 0 {
            self.range(entries.get(at - 1)?.1).end..end
        } else {
            start..self.range(entries.get(1)?.0).start
        };
        let gone = self.text.get(cut.clone())?;
        let is_plain = gone.matches('\n').count() <= 1 && !gone.contains('#');
        is_plain.then_some(Edit { at: cut, text: String::new() })
    }

    /// Puts an entry before the first of a map.
    pub fn with(&self, map: NodeId, key: &str, value: &str) -> Option<Edit> {
        let first = self.range(self.tree.entries(map).next()?.0).start;
        if self.is_flow(map) {
            return Some(Edit { at: first..first, text: format!("{key}: {value}, ") });
        }
        let line = self.line_start(first);
        let indent = self.text.get(line..first).filter(|indent| indent.trim().is_empty())?;
        Some(Edit { at: line..line, text: format!("{indent}{key}: {value}\n") })
    }

    pub fn line_start(&self, at: usize) -> usize {
        self.text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1)
    }
}

/// A text with edits made; `None` if two of them touch.
pub(super) fn edited(text: &str, edits: &[&Edit]) -> Option<String> {
    let mut sorted = edits.to_vec();
    sorted.sort_by_key(|edit| (edit.at.start, edit.at.end));
    let mut new = String::with_capacity(text.len());
    let mut done = 0;
    for edit in sorted {
        new.push_str(text.get(done..edit.at.start)?);
        new.push_str(&edit.text);
        done = edit.at.end;
    }
    new.push_str(text.get(done..)?);
    Some(new)
}
