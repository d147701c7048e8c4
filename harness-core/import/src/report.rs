//! What an import has to say: cells that can't be read, conflicts, what was assumed.

use crate::draft::Place;
use std::collections::BTreeMap;

/// A cell that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Trouble {
    /// Where it is.
    pub place: Place,
    /// What it holds.
    pub text: String,
    /// Why it can't be read; completes `"12 / 16" …`.
    pub why: String,
}

impl Trouble {
    /// About one cell.
    #[must_use]
    pub fn cell(list: &str, row: u32, column: &str, text: &str, why: &str) -> Self {
        let place = Place { list: list.to_owned(), row, column: Some(column.to_owned()) };
        Self { place, text: text.to_owned(), why: why.to_owned() }
    }
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let text: String = self.text.chars().take(60).collect();
        write!(f, "{}: \"{text}\" {}", self.place, self.why)
    }
}

/// Two statements of the lists that can't both hold, or one that is odd by itself.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Conflict {
    /// Its kind, a word of the schema: `duplicate number`, `duplicate pin`, `two signals`, `tables differ`, `total`, `colour twice`,
    /// `no cavity`, `one end`.
    pub kind: &'static str,
    /// What it is.
    pub text: String,
    /// Where the lists say so.
    pub places: Vec<Place>,
}

/// One remark about several rows of one column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Folded {
    /// The list.
    pub list: String,
    /// The heading; none if it is about whole rows.
    pub column: Option<String>,
    /// What is so; completes "row 7 …".
    pub what: String,
    /// The rows.
    pub rows: Vec<u32>,
}

/// What was found on the way.
#[derive(Debug, Default)]
pub struct Findings {
    /// Cells that can't be read.
    pub troubles: Vec<Trouble>,
    /// Conflicts.
    pub conflicts: Vec<Conflict>,
    /// Doubts and oddities by list, column and text.
    folded: BTreeMap<(String, Option<String>, String), Vec<u32>>,
    /// Rows that are sections: list, row, text.
    pub sections: Vec<(String, u32, String)>,
    /// What was assumed, a sentence each.
    pub assumed: Vec<String>,
}

impl Findings {
    pub(crate) fn trouble(&mut self, trouble: Trouble) {
        self.troubles.push(trouble);
    }

    pub(crate) fn conflict(&mut self, kind: &'static str, text: String, places: Vec<Place>) {
        self.conflicts.push(Conflict { kind, text, places });
    }

    pub(crate) fn folded(&mut self, list: &str, column: Option<&str>, row: u32, what: &str) {
        let key = (list.to_owned(), column.map(str::to_owned), what.to_owned());
        let rows = self.folded.entry(key).or_default();
        if rows.last() != Some(&row) {
            rows.push(row);
        }
    }

    pub(crate) fn section(&mut self, list: &str, row: u32, text: &str) {
        self.sections.push((list.to_owned(), row, text.to_owned()));
    }

    pub(crate) fn assume(&mut self, text: String) {
        if !self.assumed.contains(&text) {
            self.assumed.push(text);
        }
    }

    /// The remarks about several rows, in order.
    #[must_use]
    pub fn remarks(&self) -> Vec<Folded> {
        let remark = |((list, column, what), rows): (&(String, Option<String>, String), &Vec<u32>)| Folded {
            list: list.clone(),
            column: column.clone(),
            what: what.clone(),
            rows: rows.clone(),
        };
        self.folded.iter().map(remark).collect()
    }
}
