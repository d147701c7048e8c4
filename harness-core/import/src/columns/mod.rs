//! Which column means what: by the mapping, or by its heading and its cells.

mod guess;
mod header;
mod headings;
mod languages;
mod meaning;

pub use guess::understand;
pub(crate) use header::plug_of;
pub use meaning::{Kind, Meaning};

use harness_sheets::{Tab, column_name};

/// A tab with what its columns mean.
#[derive(Debug)]
pub struct Sheet<'a> {
    /// The name of the list, `wires.csv` or `book.xlsx, tab Front`.
    pub list: String,
    /// The tab.
    pub tab: &'a Tab,
    /// What it lists.
    pub kind: Kind,
    /// The row of its headings; 0 if there are none.
    pub header_row: u32,
    /// Its columns.
    pub columns: Vec<Column>,
    /// The loom of its wires, if it is given.
    pub loom: Option<String>,
    /// The plug of its pins, if no column names it.
    pub plug: Option<String>,
    /// Texts above the headings.
    pub titles: Vec<(u32, String)>,
    /// What had to be assumed.
    pub remarks: Vec<String>,
    /// Rows that need no further reading.
    pub taken: std::collections::BTreeSet<u32>,
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its place, from 0 up.
    pub index: u32,
    /// The key by which the mapping names it.
    pub key: String,
    /// What it means.
    pub meaning: Meaning,
    /// Why, in words.
    pub because: String,
}

impl Sheet<'_> {
    /// The column of a meaning, whatever its unit.
    #[must_use]
    pub fn column(&self, meaning: Meaning) -> Option<&Column> {
        self.columns.iter().find(|column| column.meaning.is_like(meaning))
    }

    /// The columns of a meaning that several may have.
    pub fn all(&self, meaning: Meaning) -> impl Iterator<Item = &Column> {
        self.columns.iter().filter(move |column| column.meaning.is_like(meaning))
    }

    /// The rows below the headings.
    pub fn rows(&self) -> impl Iterator<Item = &harness_sheets::Row> {
        self.tab.rows.iter().filter(|row| row.number > self.header_row && !self.taken.contains(&row.number))
    }
}

/// The key of a column: its heading, with its letter where that is empty or repeated.
pub(crate) fn key(heading: &str, index: u32, is_alone: bool) -> String {
    let letter = column_name(index);
    match (heading.is_empty(), is_alone) {
        (true, _) => format!("[{letter}]"),
        (false, true) => heading.to_owned(),
        (false, false) => format!("{heading} [{letter}]"),
    }
}
