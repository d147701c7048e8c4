//! XLSX workbooks: cells by a streaming reader, hidden rows, merged cells and struck letters by a pass of our own.
//!
//! The reader that makes a box around all cells is never asked: two cells far apart would take the memory of the machine. What the
//! streaming one can't bear (a count that asks for more memory than the part has bytes, a range that runs backwards) is refused before.

mod about;
mod format;
mod notes;
mod parts;
#[cfg(test)]
mod tests;

use crate::{Book, Cell, Odd, Row, Tab, Unreadable, limits};
use about::{About, Merge, Strings};
use calamine::{Data, DataRef, Reader, SheetType, SheetVisible, Style, Xlsx};
use parts::Parts;
use std::{
    collections::BTreeMap,
    io::Cursor,
    panic::{AssertUnwindSafe, catch_unwind},
};

pub(crate) fn read(name: &str, bytes: &[u8]) -> Result<Book, Unreadable> {
    let mut parts = Parts::open(bytes)?;
    let sheets = parts.sheets()?;
    let strings = about::strings(&mut parts)?;
    let mut abouts = BTreeMap::new();
    for (name, part) in &sheets {
        let mut about = about::sheet(&mut parts, part)?;
        about.notes = notes::of(&mut parts, part)?;
        abouts.insert(name.clone(), about);
    }
    // A fault of the reader on a file that nobody thought of is a damaged file to us.
    let tabs = catch_unwind(AssertUnwindSafe(|| tabs(bytes, &abouts, &strings)));
    let tabs = tabs.unwrap_or_else(|_| Err(Unreadable::Damaged("the reader broke off".to_owned())))?;
    Ok(Book { name: name.to_owned(), tabs, remarks: Vec::new() })
}

fn damaged(error: impl std::fmt::Display) -> Unreadable {
    Unreadable::Damaged(error.to_string())
}

fn tabs(bytes: &[u8], abouts: &BTreeMap<String, About>, strings: &Strings) -> Result<Vec<Tab>, Unreadable> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let sheets: Vec<(String, bool)> = book
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.typ == SheetType::WorkSheet)
        .map(|sheet| (sheet.name.clone(), sheet.visible != SheetVisible::Visible))
        .collect();
    let plain = About::default();
    let mut tabs = Vec::new();
    let mut held = Held::default();
    for (name, is_hidden) in sheets {
        let about = abouts.get(&name).unwrap_or(&plain);
        let rows = rows(&mut book, &name, about, strings, &mut held)?;
        let hidden_columns = about.hidden_columns.iter().copied().collect();
        tabs.push(Tab { name, is_hidden, is_filtered: about.is_filtered, hidden_columns, rows });
    }
    Ok(tabs)
}

/// What was read so far, against the limits.
#[derive(Default)]
struct Held {
    cells: usize,
    bytes: usize,
}

impl Held {
    fn add(&mut self, cell: &Cell) -> Result<(), Unreadable> {
        self.cells += 1;
        self.bytes += cell.text.len() + cell.note.len();
        if self.cells > limits::CELLS {
            return Err(Unreadable::TooMuch { what: "cells", most: limits::CELLS });
        }
        if self.bytes > limits::TEXT_BYTES {
            return Err(Unreadable::TooMuch { what: "bytes of text", most: limits::TEXT_BYTES });
        }
        Ok(())
    }
}

fn rows(
    book: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    about: &About,
    strings: &Strings,
    held: &mut Held,
) -> Result<Vec<Row>, Unreadable> {
    let mut reader = book.worksheet_cells_reader(name).map_err(damaged)?;
    let styles = reader.styles().to_vec();
    let mut rows: BTreeMap<u32, BTreeMap<u32, Cell>> = BTreeMap::new();
    while let Some((cell, style)) = reader.next_cell_with_style_id().map_err(damaged)? {
        let (row, column) = cell.get_position();
        let Some(cell) = made(cell.get_value(), styles.get(style), (row, column), about, strings) else { continue };
        held.add(&cell)?;
        rows.entry(row).or_default().insert(column, cell);
    }
    // A note may be on a cell that holds nothing.
    for ((row, column), note) in &about.notes {
        let cells = rows.entry(*row).or_default();
        if !cells.contains_key(column) {
            let cell = Cell { column: *column, spans: 1, note: note.clone(), ..Cell::default() };
            held.add(&cell)?;
            cells.insert(*column, cell);
        }
    }
    for merge in &about.merges {
        spread(&mut rows, merge, held)?;
    }
    let row = |(at, cells): (u32, BTreeMap<u32, Cell>)| Row {
        number: at.saturating_add(1),
        is_hidden: about.hidden_rows.contains(&at),
        cells: cells.into_values().collect(),
    };
    Ok(rows.into_iter().map(row).collect())
}

/// The text of a cell merged over several rows is that of each of them; over several columns it is that of the first alone.
fn spread(rows: &mut BTreeMap<u32, BTreeMap<u32, Cell>>, merge: &Merge, held: &mut Held) -> Result<(), Unreadable> {
    let Some(first) = rows.get_mut(&merge.top).and_then(|row| row.get_mut(&merge.left)) else { return Ok(()) };
    first.spans = merge.right.saturating_sub(merge.left).saturating_add(1);
    let first = first.clone();
    if merge.bottom <= merge.top {
        return Ok(());
    }
    // Only rows that hold something else: a region over a whole empty sheet says nothing.
    let below: Vec<u32> = rows.range(merge.top + 1..=merge.bottom).map(|(row, _)| *row).collect();
    for row in below {
        let mut copy = Cell { note: String::new(), ..first.clone() };
        copy.odd.push(Odd::Merged);
        held.add(&copy)?;
        if let Some(cells) = rows.get_mut(&row) {
            cells.entry(merge.left).or_insert(copy);
        }
    }
    Ok(())
}

/// A cell as its owner sees it; `None` if there is nothing to see and nothing odd.
fn made(value: &DataRef<'_>, style: Option<&Style>, at: (u32, u32), about: &About, strings: &Strings) -> Option<Cell> {
    let code = style.and_then(|style| style.number_format.as_ref()).map_or("", |format| format.format_code.as_str());
    let mut odd = Vec::new();
    let text = match value {
        DataRef::Empty => String::new(),
        DataRef::Int(number) => format::shown(*number as f64, code),
        DataRef::Float(number) => format::shown(*number, code),
        DataRef::String(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(is) => if *is { "TRUE" } else { "FALSE" }.to_owned(),
        DataRef::DateTime(date) => {
            odd.push(Odd::Date);
            let (year, month, day, ..) = date.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        DataRef::DateTimeIso(date) | DataRef::DurationIso(date) => {
            odd.push(Odd::Date);
            date.clone()
        }
        DataRef::Error(error) => {
            odd.push(Odd::Failed);
            Data::Error(error.clone()).to_string()
        }
    };
    if let DataRef::Float(number) = value
        && let Some(held) = format::rounded(*number, code)
    {
        odd.push(Odd::Rounded(held));
    }
    if matches!(value, DataRef::Int(_) | DataRef::Float(_)) && format::is_exponent(code) {
        odd.push(Odd::Exponent);
    }
    let text = format::one_line(&text);
    if style.and_then(|style| style.font.as_ref()).is_some_and(|font| font.strikethrough) && !text.is_empty() {
        odd.push(Odd::Struck);
    } else if about.strings.get(&at).is_some_and(|index| strings.partly_struck.contains(index))
        || about.partly_struck.contains(&at)
    {
        odd.push(Odd::PartlyStruck);
    }
    if text.is_empty() && about.without_value.contains(&at) {
        odd.push(Odd::NoValue);
    }
    let note = about.notes.get(&at).cloned().unwrap_or_default();
    if text.is_empty() && odd.is_empty() && note.is_empty() {
        return None;
    }
    Some(Cell { column: at.1, text, spans: 1, odd, note })
}
