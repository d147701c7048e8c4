//! An import as JSON.

use super::Made;
use crate::render::kit::document;
use serde::Serialize;
use std::io::{self, Write};

/// The version of the report.
const VERSION: u32 = 1;

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct Report {
    version: u32,
    folder: String,
    wires: usize,
    looms: Vec<String>,
    lists: Vec<List>,
    unreadable: Vec<Unreadable>,
    conflicts: Vec<Conflict>,
    unsure: Vec<Folded>,
    remarks: Vec<Folded>,
    assumed: Vec<String>,
    written: Vec<String>,
    kept: Vec<String>,
    not_read_cells: usize,
    changes: Option<Vec<String>>,
    asked: Vec<Asked>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct List {
    list: String,
    kind: String,
    header_row: u32,
    rows: usize,
    loom: Option<String>,
    plug: Option<String>,
    columns: Vec<Column>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Column {
    heading: String,
    meaning: String,
    because: String,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Place {
    list: String,
    row: u32,
    column: Option<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Unreadable {
    place: Place,
    text: String,
    why: String,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Conflict {
    kind: String,
    text: String,
    places: Vec<Place>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Folded {
    list: String,
    column: Option<String>,
    what: String,
    rows: Vec<u32>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Asked {
    fact: String,
    things: Vec<String>,
    checks: usize,
}

/// Writes the report.
///
/// # Errors
/// If `out` can't be written.
pub fn json(made: &Made, out: &mut dyn Write) -> io::Result<()> {
    document(&report(made), out)
}

fn place(place: &harness_import::Place) -> Place {
    Place { list: place.list.clone(), row: place.row, column: place.column.clone() }
}

fn folded(folded: &harness_import::report::Folded) -> Folded {
    Folded { list: folded.list.clone(), column: folded.column.clone(), what: folded.what.clone(), rows: folded.rows.clone() }
}

fn report(made: &Made) -> Report {
    let findings = &made.made.findings;
    let list = |list: &harness_import::Understood| List {
        list: list.list.clone(),
        kind: list.kind.word().to_owned(),
        header_row: list.header_row,
        rows: list.rows,
        loom: list.loom.clone(),
        plug: list.plug.clone(),
        columns: list
            .columns
            .iter()
            .map(|(heading, meaning, because)| Column {
                heading: heading.clone(),
                meaning: meaning.clone(),
                because: because.clone(),
            })
            .collect(),
        remarks: list
            .remarks
            .iter()
            .cloned()
            .chain(
                made.remarks
                    .iter()
                    .filter(|(name, _)| list.list == *name || list.list.starts_with(&format!("{name}, tab ")))
                    .map(|(_, remark)| remark.clone()),
            )
            .collect(),
    };
    let sections = findings.sections.iter().map(|(list, row, text)| Folded {
        list: list.clone(),
        column: None,
        what: format!("`{text}` is a heading of the rows below it, not a wire"),
        rows: vec![*row],
    });
    Report {
        version: VERSION,
        folder: made.out.clone(),
        wires: made.made.wires,
        looms: made.made.looms.clone(),
        lists: made.made.lists.iter().map(list).collect(),
        unreadable: findings
            .troubles
            .iter()
            .map(|trouble| Unreadable { place: place(&trouble.place), text: trouble.text.clone(), why: trouble.why.clone() })
            .collect(),
        conflicts: findings
            .conflicts
            .iter()
            .map(|conflict| Conflict {
                kind: conflict.kind.to_owned(),
                text: conflict.text.clone(),
                places: conflict.places.iter().map(place).collect(),
            })
            .collect(),
        unsure: made.made.doubts.iter().map(folded).collect(),
        remarks: findings.remarks().iter().map(folded).chain(sections).collect(),
        assumed: findings.assumed.iter().chain(&made.said).cloned().collect(),
        written: made.written.clone(),
        kept: made.kept.clone(),
        not_read_cells: made.made.unread,
        changes: made.changes.clone(),
        asked: made
            .asks
            .iter()
            .map(|ask| Asked { fact: ask.fact.clone(), things: ask.things.clone(), checks: ask.checks })
            .collect(),
    }
}
