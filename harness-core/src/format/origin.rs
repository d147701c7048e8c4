//! Which row of which list a place of a design was made from.
//!
//! Files that a list was turned into say so by `from`, and their things by `row`. A thing is looked up by the keys that lead to it, so
//! that a place in another file that says more of it is of its row too. Nothing of this is kept in a design: it is found in the texts when
//! a place is shown. Cost: reading the texts once more, if one of them is of a list.

use super::{Attribute, row, worded};
use crate::text::{self, FileId, Kind, Name, Names, NodeId, Sources, Span, Tree};
use rustc_hash::FxHashMap;
use std::{collections::BTreeMap, fmt};

/// A row of a list.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct ListRow {
    /// The list as the file names it: `wires.csv`, or `book.xlsx, tab Front`.
    pub list: String,
    /// Its row, from 1.
    pub row: u32,
}

impl fmt::Display for ListRow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { list, row } = self;
        // With a tab behind it the name of a file can't be followed by a number.
        if list.contains(", ") { write!(f, "{list}, row {row}") } else { write!(f, "{list}:{row}") }
    }
}

/// The rows of a design's lists, by where their things are written.
#[derive(Debug, Default)]
pub struct Origins {
    /// Of each file where a thing with a row begins, with its end and its row, in the order of the text.
    places: BTreeMap<FileId, Vec<(u32, u32, ListRow)>>,
}

impl Origins {
    /// The rows of the lists that the files of a design were made from.
    #[must_use]
    pub fn new(sources: &Sources) -> Self {
        if sources.files().all(|(_, file)| file.list().is_none()) {
            return Self::default();
        }
        let mut names = Names::new();
        let trees: Vec<(Option<&str>, text::Parsed)> =
            sources.files().map(|(id, file)| (file.list(), worded::parse(sources, id, &mut names))).collect();
        let mut rows = Rows { names: &names, by_way: FxHashMap::default(), places: BTreeMap::new() };
        for (list, parsed) in &trees {
            if let (Some(list), Some(root)) = (list, parsed.root) {
                rows.gather(&parsed.tree, root, list, &mut Vec::new());
            }
        }
        for (list, parsed) in &trees {
            if let (None, Some(root)) = (list, parsed.root) {
                rows.also(&parsed.tree, root, &mut Vec::new());
            }
        }
        let mut places = rows.places;
        places.values_mut().for_each(|places| places.sort_by_key(|(start, ..)| *start));
        Self { places }
    }

    /// The row of the innermost thing that holds the start of `span`.
    #[must_use]
    pub fn of(&self, span: Span) -> Option<&ListRow> {
        let places = self.places.get(&span.file)?;
        let before = places.get(..places.partition_point(|(start, ..)| *start <= span.start))?;
        // Things nest a few deep: pins in ports in devices.
        before.iter().rev().find(|(_, end, _)| span.start < *end).map(|(.., row)| row)
    }
}

struct Rows<'a> {
    names: &'a Names,
    by_way: FxHashMap<Vec<Name>, ListRow>,
    places: BTreeMap<FileId, Vec<(u32, u32, ListRow)>>,
}

impl Rows<'_> {
    /// The things with rows of a file that a list was turned into.
    fn gather(&mut self, tree: &Tree, map: NodeId, list: &str, way: &mut Vec<Name>) {
        for (key, value) in tree.entries(map) {
            let (Some(name), Kind::Map) = (tree.text(key), tree.kind(value)) else { continue };
            way.push(name);
            if let Some(row) = self.row(tree, value) {
                let row = ListRow { list: list.to_owned(), row };
                self.place(tree, key, value, row.clone());
                self.by_way.entry(way.clone()).or_insert(row);
            }
            self.gather(tree, value, list, way);
            way.pop();
        }
    }

    /// What a file that is of no list says of things with rows.
    fn also(&mut self, tree: &Tree, map: NodeId, way: &mut Vec<Name>) {
        for (key, value) in tree.entries(map) {
            let (Some(name), Kind::Map) = (tree.text(key), tree.kind(value)) else { continue };
            way.push(name);
            if let Some(row) = self.by_way.get(way).cloned() {
                self.place(tree, key, value, row);
            }
            self.also(tree, value, way);
            way.pop();
        }
    }

    fn place(&mut self, tree: &Tree, key: NodeId, value: NodeId, row: ListRow) {
        let (key, value) = (tree.span(key), tree.span(value));
        self.places.entry(key.file).or_default().push((key.start, value.end.max(key.end), row));
    }

    fn row(&self, tree: &Tree, map: NodeId) -> Option<u32> {
        let is_row = |key: NodeId| tree.text(key).is_some_and(|name| self.names.text(name) == Attribute::Row.word());
        let (_, value) = tree.entries(map).find(|(key, _)| is_row(*key))?;
        row::number(self.names.text(tree.text(value)?))
    }
}
