//! Delimited texts: which letter separates the fields, and what the fields are.

use crate::{Book, Cell, Options, Remark, Row, Tab, Unreadable, encoding::decode, limits};

/// What may separate fields, in the order in which equals are decided.
const DELIMITERS: [char; 4] = [',', ';', '\t', '|'];

/// What spreadsheets take for the beginning of a formula.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// Records that are looked at for the delimiter.
const LOOKED_AT: usize = 50;

pub(crate) fn read(name: &str, bytes: &[u8], options: &Options) -> Result<Book, Unreadable> {
    let (text, mut remarks) = decode(bytes, options)?;
    let delimiter = delimiter(&text);
    let mut records = Records::new(&text, delimiter);
    let mut rows = Vec::new();
    let mut number = 0u32;
    let mut cells = 0usize;
    while let Some(fields) = records.next_record() {
        number = number.saturating_add(1);
        let filled = (0u32..).zip(fields).filter(|(_, field)| !field.is_empty());
        let row: Vec<Cell> = filled.map(|(column, text)| Cell { column, text, spans: 1, ..Cell::default() }).collect();
        cells += row.len();
        if cells > limits::CELLS {
            return Err(Unreadable::TooMuch { what: "cells", most: limits::CELLS });
        }
        if !row.is_empty() {
            rows.push(Row { number, is_hidden: false, cells: row });
        }
    }
    if let Some(row) = records.open_quote {
        remarks.push(Remark::OpenQuote { row });
    }
    let tab = Tab { rows, ..Tab::default() };
    Ok(Book { name: name.to_owned(), tabs: vec![tab], remarks })
}

/// The delimiter: the one by which most of the first records have one and the same number of fields, and more than one.
fn delimiter(text: &str) -> char {
    let mut best = (',', 0usize);
    for delimiter in DELIMITERS {
        let mut records = Records::new(text, delimiter);
        let mut counts = Vec::new();
        while counts.len() < LOOKED_AT {
            let Some(fields) = records.next_record() else { break };
            // Rows of a title or a section have fields that are empty at their end, or are short: they say little.
            if fields.iter().any(|field| !field.is_empty()) {
                counts.push(fields.len());
            }
        }
        let most = counts.iter().copied().filter(|count| *count > 1).map(|count| {
            let same = counts.iter().filter(|other| **other == count).count();
            (same, count)
        });
        // Many records of one width first, then the greater width: a decimal comma splits records too, but not all alike.
        let Some((same, count)) = most.max() else { continue };
        let score = same * 1000 / counts.len().max(1) * 64 + count.min(63);
        if score > best.1 && !records.is_odd {
            best = (delimiter, score);
        }
    }
    best.0
}

/// Records of a text, quotes heeded: a quoted field may hold the delimiter, a line break and a doubled quote.
struct Records<'a> {
    rest: &'a str,
    delimiter: char,
    number: u32,
    /// The row in which a quote opens that is never closed; from there on a quote is a letter.
    open_quote: Option<u32>,
    /// Whether quotes are where none belong: behind a closing one and before the delimiter.
    is_odd: bool,
}

impl<'a> Records<'a> {
    fn new(text: &'a str, delimiter: char) -> Self {
        Self { rest: text, delimiter, number: 0, open_quote: None, is_odd: false }
    }

    /// The fields of the next record, blanks at both ends taken off; `None` at the end of the text.
    fn next_record(&mut self) -> Option<Vec<String>> {
        if self.rest.is_empty() {
            return None;
        }
        self.number = self.number.saturating_add(1);
        let mut fields = Vec::new();
        loop {
            let (field, end) = self.field();
            fields.push(field);
            if end != End::Field {
                return Some(fields);
            }
        }
    }

    fn field(&mut self) -> (String, End) {
        let start = self.rest.trim_start_matches([' ', '\u{a0}']);
        if self.open_quote.is_none()
            && let Some(quoted) = start.strip_prefix('"')
        {
            if let Some((mut field, behind)) = closed(quoted) {
                self.rest = behind;
                // What follows the closing quote up to the delimiter belongs to the field too: `"12" AWG`.
                let (more, end) = self.plain();
                self.is_odd |= more.contains('"');
                field.push_str(&more);
                return (trimmed(&field), end);
            }
            self.open_quote = Some(self.number);
        }
        let (field, end) = self.plain();
        (trimmed(&field), end)
    }

    /// The letters up to the delimiter or the end of the line.
    fn plain(&mut self) -> (String, End) {
        let stop = |letter: char| letter == self.delimiter || letter == '\n' || letter == '\r';
        let Some(at) = self.rest.find(stop) else {
            return (std::mem::take(&mut self.rest).to_owned(), End::Text);
        };
        let (field, behind) = self.rest.split_at(at);
        let mut letters = behind.chars();
        let first = letters.next();
        let behind = letters.as_str();
        self.rest = if first == Some('\r') { behind.strip_prefix('\n').unwrap_or(behind) } else { behind };
        let end = if first == Some(self.delimiter) { End::Field } else { End::Record };
        (field.to_owned(), end)
    }
}

/// Where a field ended.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    Field,
    Record,
    Text,
}

/// What is in quotes, up to the closing one, and what is behind it; `None` if none closes.
fn closed(text: &str) -> Option<(String, &str)> {
    let mut field = String::new();
    let mut rest = text;
    loop {
        let (before, behind) = rest.split_once('"')?;
        field.push_str(before);
        match behind.strip_prefix('"') {
            Some(more) => {
                field.push('"');
                rest = more;
            }
            None => return Some((field, behind)),
        }
    }
}

/// A field without blanks at its ends, each line break within it a blank.
fn trimmed(field: &str) -> String {
    let field = field.trim_matches(|letter: char| letter.is_whitespace() || letter == '\u{feff}');
    // An apostrophe before what looks like a formula is the mark of a text (common practice, no source), not a letter of it.
    let field = field.strip_prefix('\'').filter(|rest| rest.starts_with(FORMULA)).unwrap_or(field);
    if field.contains(['\n', '\r']) {
        field.split(['\n', '\r']).map(str::trim).filter(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
    } else {
        field.to_owned()
    }
}

#[cfg(test)]
mod tests;
