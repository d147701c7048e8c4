//! The rows of lists of wires: each cell read by the meaning of its column, what can't be read kept.

mod cells;
mod end;

use super::{RowWire, sums::Sum};
use crate::{
    cell::{Known, SizeUnit},
    columns::{Kind, Meaning, Sheet},
    mapping::Mapping,
    report::Findings,
};
use harness_sheets::{Odd, Row};
use std::collections::BTreeMap;

/// What a cell reader needs.
pub(crate) struct Reading<'a> {
    pub(crate) known: &'a Known,
    pub(crate) colours: &'a BTreeMap<String, String>,
    pub(crate) mapping: &'a Mapping,
}

/// The wires of a sheet of wires, and of a sheet of pins that names the other ends.
pub(crate) fn wires(sheet: &Sheet<'_>, loom: &str, reading: &Reading<'_>, findings: &mut Findings) -> Vec<RowWire> {
    let mut wires = Vec::new();
    let unit = size_unit(sheet);
    let mut section: Option<String> = None;
    let mut plug = sheet.plug.clone();
    let mut sum = Sum::default();
    for row in sheet.rows() {
        odd(sheet, row, findings);
        if let Some(text) = section_of(sheet, row) {
            if !sum.is_total(sheet, row, &text, findings) {
                findings.section(&sheet.list, row.number, &text);
                // The title of the next plug in one table after another.
                match crate::columns::plug_of(&text).filter(|_| sheet.kind == Kind::Pins && sheet.column(Meaning::Plug).is_none())
                {
                    Some(next) => plug = Some(next),
                    None => section = Some(text),
                }
            }
            continue;
        }
        if sum.is_total(sheet, row, row.cells.first().map_or("", |cell| &cell.text), findings) {
            continue;
        }
        let mut wire = cells::read(sheet, row, (unit, plug.as_deref()), reading, findings);
        wire.loom = sheet
            .column(Meaning::Loom)
            .map(|column| row.text(column.index))
            .filter(|text| !text.is_empty())
            .map_or_else(|| loom.to_owned(), super::names::slug);
        if let Some(section) = &section {
            wire.notes.push(format!("section: {section}"));
        }
        sum.add(&wire);
        wires.push(wire);
    }
    sum.titles(sheet, findings);
    wires
}

/// The unit of bare sizes: that of the column, or the one that its cells name.
fn size_unit(sheet: &Sheet<'_>) -> Option<SizeUnit> {
    match sheet.column(Meaning::Size(None))?.meaning {
        Meaning::Size(unit) => unit,
        _ => None,
    }
}

/// A row with one text alone, which is not a wire: a section or branch.
fn section_of(sheet: &Sheet<'_>, row: &Row) -> Option<String> {
    let mut filled = row.cells.iter().filter(|cell| !cell.text.is_empty());
    let only = filled.next().filter(|_| filled.next().is_none())?;
    let meaning = sheet.columns.iter().find(|column| column.index == only.column).map(|column| column.meaning);
    let is_number = meaning == Some(Meaning::Number)
        && only.spans <= 1
        && !only.text.contains(' ')
        && sheet.kind == Kind::Wires
        && only.text.chars().any(|letter| letter.is_ascii_digit());
    let is_pin = sheet.kind == Kind::Pins && only.spans <= 1 && !only.text.contains(' ') && matches!(meaning, Some(Meaning::Pin));
    (!is_number && !is_pin).then(|| only.text.clone())
}

/// Says what is odd about the cells of a row: struck, hidden, a date.
pub(crate) fn odd(sheet: &Sheet<'_>, row: &Row, findings: &mut Findings) {
    if row.is_hidden {
        findings.folded(&sheet.list, None, row.number, "is hidden in the sheet, and is read");
    }
    let struck = row.cells.iter().filter(|cell| cell.odd.contains(&Odd::Struck)).count();
    if struck > 0 && struck == row.cells.len() {
        findings.folded(&sheet.list, None, row.number, "is struck out, and is read");
        return;
    }
    for cell in &row.cells {
        let heading = sheet.columns.iter().find(|column| column.index == cell.column).map(|column| column.key.clone());
        for odd in cell.odd.iter().filter(|odd| **odd != Odd::Merged) {
            findings.folded(&sheet.list, heading.as_deref(), row.number, &odd.to_string());
        }
    }
}
