//! One table of a paper as comma-separated values. Nothing is rounded beyond six digits, and boxes to tick are left out.

use super::{Cell, Paper, Table};
use crate::render::kit::{figures::rounded, sheet};
use std::io::{self, Write};

/// Writes the table of that name, or the first; with several papers, that table of each, one below the other.
pub(super) fn write(papers: &[Paper], name: Option<&str>, out: &mut dyn Write) -> io::Result<()> {
    let wanted = |table: &Table| name.is_none_or(|name| table.key == name);
    let found: Vec<Table> = papers.iter().filter_map(|paper| paper.merged().into_iter().find(wanted)).collect();
    let Some(first) = found.first() else {
        let mut keys: Vec<&str> = papers.iter().flat_map(Paper::tables).map(|table| table.key).collect();
        keys.dedup();
        let why = match name {
            Some(name) if !keys.is_empty() => format!("no table is called `{name}`; there are `{}`", keys.join("`, `")),
            _ => "the paper has no table".to_owned(),
        };
        return Err(io::Error::new(io::ErrorKind::InvalidInput, why));
    };
    let mut bytes = bytes(first).map_err(io::Error::other)?;
    for table in found.iter().skip(1).filter(|table| table.key == first.key) {
        let more = self::bytes(table).map_err(io::Error::other)?;
        let head = more.iter().position(|byte| *byte == b'\n').map_or(0, |at| at + 1);
        bytes.extend(more.get(head..).unwrap_or_default());
    }
    out.write_all(&bytes)
}

/// A table as comma-separated values; no cell is taken for a formula.
pub(super) fn bytes(table: &Table) -> Result<Vec<u8>, String> {
    let kept = table.for_programs();
    let mut writer = ::csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    let head = kept.iter().filter_map(|at| table.columns.get(*at)).map(|column| column.key);
    writer.write_record(head).map_err(|error| error.to_string())?;
    for row in table.rows() {
        let cells = kept.iter().filter_map(|at| row.get(*at)).map(value);
        writer.write_record(cells.map(|cell| sheet::cell(&cell).into_owned())).map_err(|error| error.to_string())?;
    }
    writer.into_inner().map_err(|error| error.to_string())
}

/// What a cell holds, for a program.
pub(super) fn value(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => text.replace('\n', " / "),
        Cell::Figure(value, _) if value.is_finite() => rounded(*value).to_string(),
        Cell::Colour(colour) => colour.to_string(),
        Cell::Figure(..) | Cell::None(_) | Cell::Tick | Cell::Write(_) => String::new(),
    }
}
