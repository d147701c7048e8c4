//! What was read: tabs of rows of cells, each with its place.

use std::fmt;

/// A file of tables.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Book {
    /// The name that it was read by.
    pub name: String,
    /// Its tabs in their order; a delimited text has one, without a name.
    pub tabs: Vec<Tab>,
    /// What had to be assumed about the file.
    pub remarks: Vec<Remark>,
}

/// What had to be assumed about a file.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Remark {
    /// The encoding was guessed.
    Guessed {
        /// Its name.
        encoding: &'static str,
    },
    /// The result holds control characters that no text has: it was probably of another encoding.
    UnknownEncoding {
        /// The one that it was read as.
        encoding: &'static str,
    },
    /// UTF-8 with so many places that are not.
    DamagedUtf8 {
        /// How many.
        places: usize,
    },
    /// The first quote that is never closed, and the row in which it opens.
    OpenQuote {
        /// The row, from 1 up.
        row: u32,
    },
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Guessed { encoding } => write!(f, "read as {encoding}: the encoding is a guess"),
            Self::UnknownEncoding { encoding } => {
                write!(f, "the encoding is unknown: as {encoding} it holds control characters; name it with `--encoding`")
            }
            Self::DamagedUtf8 { places } => {
                let s = if *places == 1 { "" } else { "s" };
                write!(f, "UTF-8 with {places} damaged place{s}, shown as U+FFFD")
            }
            Self::OpenQuote { row } => write!(f, "a quote opens in row {row} and is never closed: it is read as a plain letter"),
        }
    }
}

/// A table.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tab {
    /// Its name; empty for the one table of a text.
    pub name: String,
    /// Whether its owner has hidden it.
    pub is_hidden: bool,
    /// Whether a filter is set on it, so that its owner may not see every row.
    pub is_filtered: bool,
    /// Columns that its owner has hidden, from 0 up.
    pub hidden_columns: Vec<u32>,
    /// Rows that hold something, in order.
    pub rows: Vec<Row>,
}

/// A row.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Row {
    /// Its number as its owner sees it, from 1 up.
    pub number: u32,
    /// Whether it is hidden, by hand or by a filter.
    pub is_hidden: bool,
    /// Cells that hold something or are odd, in order of their columns.
    pub cells: Vec<Cell>,
}

impl Row {
    /// The cell in `column`, from 0 up.
    #[must_use]
    pub fn cell(&self, column: u32) -> Option<&Cell> {
        self.cells.binary_search_by_key(&column, |cell| cell.column).ok().and_then(|at| self.cells.get(at))
    }

    /// The text in `column`; empty if there is none.
    #[must_use]
    pub fn text(&self, column: u32) -> &str {
        self.cell(column).map_or("", |cell| cell.text.as_str())
    }
}

/// A cell.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cell {
    /// Its column, from 0 up.
    pub column: u32,
    /// What its owner sees, blanks at both ends taken off: a number by its number format.
    pub text: String,
    /// How many columns it spans, if it is merged over more than one.
    pub spans: u32,
    /// What is odd about it.
    pub odd: Vec<Odd>,
    /// The note that somebody has put on it; empty if there is none.
    pub note: String,
}

/// What is odd about a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Odd {
    /// It is struck out.
    Struck,
    /// Some of its text is struck out.
    PartlyStruck,
    /// A date, and perhaps never meant to be one: `1/2` becomes a date when it is typed.
    Date,
    /// A number in powers of ten, and perhaps never meant to be one: `12E3` becomes a number when it is typed.
    Exponent,
    /// Its number format shows another number than it holds, which is this one.
    Rounded(String),
    /// A formula whose value was not stored.
    NoValue,
    /// A formula or value that failed, such as `#N/A`.
    Failed,
    /// Its text is that of the cell above, with which it is merged.
    Merged,
}

impl fmt::Display for Odd {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Rounded(number) => return write!(f, "is the number {number}, which its number format shows rounded"),
            Self::Struck => "is struck out",
            Self::PartlyStruck => "is struck out in places",
            Self::Date => "is a date: `1/2` becomes one when it is typed",
            Self::Exponent => "is a number in powers of ten: `12E3` becomes one when it is typed",
            Self::NoValue => "is a formula whose value was not stored: open the workbook and save it again",
            Self::Failed => "is an error of the spreadsheet",
            Self::Merged => "is merged with the cell above",
        })
    }
}

/// The name of a column as spreadsheets show it: 0 is `A`, 26 is `AA`.
#[must_use]
pub fn column_name(column: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = column;
    loop {
        letters.push(char::from(b'A' + (rest % 26) as u8));
        match rest / 26 {
            0 => break,
            more => rest = more - 1,
        }
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::column_name;

    /// As every spreadsheet shows them (common practice, no source); the last is the last column of the XLSX format, ECMA-376 part 1, 18.3.1.13.
    #[test]
    fn columns_have_the_names_that_people_see() {
        for (column, name) in
            [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA"), (16_383, "XFD")]
        {
            assert_eq!(column_name(column), name);
        }
    }
}
