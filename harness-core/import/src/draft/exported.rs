//! The lists that `harness export` writes: every cell means what it says, so nothing is guessed.
//!
//! Owns what comes back of them: ends, pins, splices, what is in line, cables, wires. A row of wires that names what the other lists don't have
//! was added by somebody: it is left to be read as any list is. Kinds of parts are named only where the design has them; else they are notes.

mod contacts;
mod devices;
mod ends;
mod joints;
mod wires;

use super::{Draft, Place, Unread};
use crate::{
    Kinds,
    columns::{Kind, Meaning, Sheet},
    report::{Findings, Trouble},
};
use harness_sheets::Row;
use std::collections::{BTreeMap, BTreeSet};

/// Reads the lists of an export among `sheets`; the rows of wires that were read are marked as taken.
pub(crate) fn exported(sheets: &mut [Sheet<'_>], kinds: &Kinds, draft: &mut Draft, findings: &mut Findings) {
    if !sheets.iter().any(|sheet| sheet.kind.is_exported()) {
        return;
    }
    let mut reading = Reading { kinds, draft, findings, unknown: BTreeMap::new() };
    let of = |kind: Kind| sheets.iter().filter(move |sheet| sheet.kind == kind);
    of(Kind::ExportedFuses).for_each(|sheet| joints::fuses(sheet, &mut reading));
    of(Kind::ExportedLooms).for_each(|sheet| looms(sheet, &mut reading));
    of(Kind::ExportedEnds).for_each(|sheet| ends::read(sheet, &mut reading));
    of(Kind::ExportedPins).for_each(|sheet| devices::read(sheet, &mut reading));
    of(Kind::ExportedJoints).for_each(|sheet| joints::read(sheet, &mut reading));
    of(Kind::ExportedContacts).for_each(|sheet| contacts::read(sheet, &mut reading));
    of(Kind::ExportedRest).for_each(|sheet| rest(sheet, &mut reading));
    for sheet in sheets.iter_mut().filter(|sheet| sheet.kind == Kind::ExportedWires) {
        sheet.taken = wires::read(sheet, &mut reading);
    }
    for ((noun, key), names) in std::mem::take(&mut reading.unknown) {
        let shown: Vec<String> = names.iter().take(6).map(|name| format!("`{name}`")).collect();
        let more = if names.len() > 6 { format!(" and {} more", names.len() - 6) } else { String::new() };
        let (s, are) = if names.len() == 1 { ("", "is") } else { ("s", "are") };
        reading.findings.assume(format!(
            "the {noun}{s} {}{more} {are} not in the design, and kept as notes: write {} under `parts.{key}` in facts.yaml, and import again",
            shown.join(", "),
            if names.len() == 1 { "it" } else { "them" }
        ));
    }
}

fn looms(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        let name = line.loom();
        if name.is_empty() {
            reading.refused(&line, Meaning::Loom, "names no loom");
            continue;
        }
        reading.unread(&line, &name);
        let said = line.optional(Meaning::WireKind);
        let kind = said.clone().filter(|kind| reading.has(WIRE_KIND, kind));
        let held = reading.draft.looms.entry(name).or_default();
        held.is_given = true;
        let unknown = said.as_ref().filter(|_| kind.is_none()).map(|kind| format!("wire kind: {kind}"));
        (held.kind, held.kind_said) = (kind, said);
        held.unsure = line.several(Meaning::Unsure);
        held.notes_of_all = line.optional(Meaning::Note).into_iter().chain(unknown).collect();
        held.is_left_out = line.text(Meaning::State) == "not fitted";
        held.place = Some(line.place());
    }
}

/// What kinds of wires are called, and where they are.
const WIRE_KIND: (&str, &str) = ("wire kind", "conductors");

/// Cells that an earlier import did not read stay what they were.
fn rest(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        let text = |heading: &str| {
            let column = sheet.columns.iter().find(|column| column.key == heading);
            column.map_or("", |column| line.row.text(column.index)).to_owned()
        };
        reading.draft.unread.push(Unread {
            list: text("List"),
            row: text("Row").parse().unwrap_or(line.row.number),
            thing: text("Thing"),
            column: text("Column"),
            text: text("Text"),
        });
    }
}

/// What the readers of these lists share.
struct Reading<'a> {
    kinds: &'a Kinds,
    draft: &'a mut Draft,
    findings: &'a mut Findings,
    /// Kinds of parts that the design does not have: by what they are called and the key of `parts`.
    unknown: BTreeMap<(&'static str, &'static str), BTreeSet<String>>,
}

impl Reading<'_> {
    /// Whether the design has a kind of part; one that it does not have is remembered.
    fn has(&mut self, (noun, key): (&'static str, &'static str), name: &str) -> bool {
        let has = self.kinds.has(key, name);
        if !has {
            self.unknown.entry((noun, key)).or_default().insert(name.to_owned());
        }
        has
    }

    /// Keeps the cells of a row that nothing reads.
    fn unread(&mut self, line: &Line<'_>, thing: &str) {
        let noted = line.sheet.columns.iter().filter_map(|column| Some((column, line.row.cell(column.index)?)));
        for (column, cell) in noted.filter(|(_, cell)| !cell.note.is_empty()) {
            self.draft.unread.push(Unread {
                list: line.sheet.list.clone(),
                row: line.row.number,
                thing: thing.to_owned(),
                column: format!("note at {}", column.key),
                text: cell.note.clone(),
            });
        }
        for column in line.sheet.columns.iter().filter(|column| matches!(column.meaning, Meaning::Unread | Meaning::Asked)) {
            let text = line.row.text(column.index);
            if !text.is_empty() {
                self.draft.unread.push(Unread {
                    list: line.sheet.list.clone(),
                    row: line.row.number,
                    thing: thing.to_owned(),
                    column: column.key.clone(),
                    text: text.to_owned(),
                });
            }
        }
    }

    /// A row that lacks what makes it a thing, or says it twice.
    fn refused(&mut self, line: &Line<'_>, meaning: Meaning, why: &str) {
        let column = line.sheet.column(meaning).map_or_else(|| meaning.to_string(), |column| column.key.clone());
        let text = line.text(meaning);
        self.findings.trouble(Trouble::cell(&line.sheet.list, line.row.number, &column, &text, why));
    }
}

/// A row with the meanings of its columns.
struct Line<'a> {
    sheet: &'a Sheet<'a>,
    row: &'a Row,
}

/// The rows of a sheet that hold something.
fn lines<'a>(sheet: &'a Sheet<'a>) -> impl Iterator<Item = Line<'a>> {
    let filled = |row: &&Row| row.cells.iter().any(|cell| !cell.text.is_empty());
    sheet.rows().filter(filled).map(move |row| Line { sheet, row })
}

impl Line<'_> {
    /// What a cell says, line breaks and tabs as they were before they were made visible.
    fn text(&self, meaning: Meaning) -> String {
        let text = self.sheet.column(meaning).map_or("", |column| self.row.text(column.index));
        text.replace('\u{240a}', "\n").replace('\u{2409}', "\t")
    }

    fn optional(&self, meaning: Meaning) -> Option<String> {
        Some(self.text(meaning)).filter(|text| !text.is_empty())
    }

    /// The texts of a cell that holds several.
    fn several(&self, meaning: Meaning) -> Vec<String> {
        parted(&self.text(meaning))
    }

    fn place(&self) -> Place {
        Place::of_row(&self.sheet.list, self.row.number)
    }

    /// The loom of the row.
    fn loom(&self) -> String {
        self.optional(Meaning::Loom).or_else(|| self.sheet.loom.clone()).unwrap_or_default()
    }
}

/// Several texts of one cell: with semicolons between them, in brackets where one of them holds such a semicolon itself.
pub(crate) fn parted(cell: &str) -> Vec<String> {
    let bracketed = cell.strip_prefix('[').and_then(|inner| inner.strip_suffix(']')).filter(|inner| inner.contains("; "));
    let (inner, between) = bracketed.map_or((cell, "; "), |inner| (inner, "]; ["));
    inner.split(between).map(str::to_owned).filter(|text| !text.is_empty()).collect()
}
