//! Makes netlists of the wire lists that people keep in spreadsheets.
//!
//! A book of tabs goes one way: which column means what ([`columns`], by the [`mapping`] or by a guess), what each cell says ([`cell`]), what
//! things there are and where they were said, where the lists contradict each other ([`report`]), and the texts of a netlist. Nothing is
//! guessed in silence or lost: what can't be read is kept as a note of its wire and named with its row and column.
//!
//! It does no I/O and never panics, on any input.
//!
//! ```
//! use harness_import::{Kinds, import, mapping::Mapping};
//! use harness_sheets::{Options, read};
//!
//! let list = b"Wire,From,To,AWG,Colour\n101,P1:3,P2:5,20,RED\n102,P1:4,GND,12 / 16,BLK\n";
//! let book = read("front.csv", list, &Options::default()).unwrap();
//! let made = import(&[book], &Mapping::default(), &Kinds::default()).unwrap();
//! assert_eq!(made.wires, 2);
//! assert!(made.files["front.yaml"].contains("101: { from: P1.3, to: P2.5, size: 20 AWG, colour: RD, row: 2 }"));
//! assert_eq!(made.findings.troubles[0].to_string(), "front.csv:3 column 'AWG': \"12 / 16\" holds two sizes");
//! ```

pub mod asks;
pub mod cell;
pub mod columns;
mod draft;
mod kinds;
mod looms;
pub mod mapping;
mod netlist;
pub mod report;
mod unread;

pub use draft::Place;
pub use kinds::Kinds;

use cell::Known;
use columns::{Kind, Meaning, Sheet, understand};
use draft::{Draft, Reading, RowWire};
use harness_sheets::{Book, Row};
use mapping::{Mapping, Point};
use report::Findings;
use std::collections::{BTreeMap, BTreeSet};

/// What an import made.
#[derive(Debug)]
pub struct Imported {
    /// The generated files by name: `lists.yaml`, which includes the others.
    pub files: BTreeMap<String, String>,
    /// The mapping as it was understood.
    pub mapping: String,
    /// The lists that the mapping given does not name, as it would.
    pub new_lists: String,
    /// How each list was understood.
    pub lists: Vec<Understood>,
    /// What can't be read, conflicts, remarks.
    pub findings: Findings,
    /// How many wires were made.
    pub wires: usize,
    /// The looms.
    pub looms: Vec<String>,
    /// How many cells of columns that nothing reads came along in `not-read.csv`.
    pub unread: usize,
    /// What is unsure: list, heading or fact, rows.
    pub doubts: Vec<report::Folded>,
}

/// How a list was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Understood {
    /// The list.
    pub list: String,
    /// What it lists.
    pub kind: Kind,
    /// The row of its headings; 0 if none was recognised.
    pub header_row: u32,
    /// Rows below it that hold something.
    pub rows: usize,
    /// The loom of its wires.
    pub loom: Option<String>,
    /// The plug of its pins, where no column names it.
    pub plug: Option<String>,
    /// Heading, meaning and why.
    pub columns: Vec<(String, String, String)>,
    /// Whether the tab is hidden, a filter is set, which columns are hidden.
    pub remarks: Vec<String>,
}

/// Why nothing was imported; completes "failed to import `front.csv`: ".
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// No row became a wire; how each list was understood.
    NoWire(Vec<String>),
    /// The mapping does not fit the lists.
    Mapping(String),
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoWire(lists) => write!(f, "no wire was read; {}", lists.join("; ")),
            Self::Mapping(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for Refused {}

/// The name of a list: that of its file, with its tab.
pub(crate) fn list_name(book: &Book, tab: &str) -> String {
    if tab.is_empty() { book.name.clone() } else { format!("{}, tab {tab}", book.name) }
}

/// Makes a netlist of books; `kinds` are those of the design that it is for.
///
/// # Errors
/// If no row is a wire, or the mapping names a column that is not there.
pub fn import(books: &[Book], mapping: &Mapping, kinds: &Kinds) -> Result<Imported, Refused> {
    let mut with_own = mapping.clone();
    for book in books {
        with_own.take(mapping::of_book(book).map_err(Refused::Mapping)?);
    }
    let mapping = &with_own;
    let colours = mapping.colour_table();
    let mut sheets = Vec::new();
    for book in books {
        for tab in &book.tabs {
            let list = list_name(book, &tab.name);
            let sheet = understand(&list, tab, mapping.lists.get(&list), &colours).map_err(Refused::Mapping)?;
            sheets.push(sheet);
        }
    }
    let mut findings = Findings::default();
    let mut draft = Draft { kinds: kinds.clone(), ..Draft::default() };
    draft::exported(&mut sheets, kinds, &mut draft, &mut findings);
    let mut known = known(&sheets, mapping);
    known.plugs.extend(draft.looms.values().flat_map(|loom| loom.ends.keys().cloned()));
    for name in known.settle() {
        findings.assume(format!("`{name}` is taken for a splice: three wires or more end there, and no cell gives a cavity"));
    }
    let reading = Reading { known: &known, colours: &colours, mapping };
    let mut read: Vec<Vec<RowWire>> = Vec::new();
    for sheet in &sheets {
        let is_read = matches!(sheet.kind, Kind::Wires | Kind::Pins | Kind::ExportedWires);
        read.push(if is_read { draft::wires(sheet, "", &reading, &mut findings) } else { Vec::new() });
    }
    let looms = looms::of(&sheets, &read);
    let mut rows = Vec::new();
    for ((sheet, read), loom) in sheets.iter().zip(read).zip(&looms) {
        for mut row in read {
            if row.loom.is_empty() {
                row.loom = sheet.loom.clone().or_else(|| loom.clone()).unwrap_or_else(|| "loom".to_owned());
            }
            rows.push((sheet.kind, row));
        }
    }
    let draft = drafted(draft, &sheets, rows, mapping, &mut findings);
    let wires = draft.looms.values().map(|loom| loom.wires.len()).sum();
    if wires == 0 {
        return Err(Refused::NoWire(sheets.iter().map(described).collect()));
    }
    let doubts = doubts(&draft);
    let names: Vec<String> = sheets.iter().map(|sheet| sheet.list.clone()).collect();
    let mut files = netlist::files(&draft, &names);
    let unread = draft.unread.len();
    if unread > 0 {
        files.insert("not-read.csv".to_owned(), unread::text(&draft));
    }
    let with_looms: Vec<(&Sheet<'_>, Option<String>)> =
        sheets.iter().zip(&looms).map(|(sheet, loom)| (sheet, sheet.loom.clone().or_else(|| loom.clone()))).collect();
    Ok(Imported {
        files,
        mapping: netlist::mapping(&with_looms, mapping),
        new_lists: netlist::entries(&with_looms, mapping),
        lists: with_looms.iter().map(|(sheet, loom)| understood(sheet, loom.clone())).collect(),
        wires,
        looms: draft.looms.keys().cloned().collect(),
        unread,
        doubts,
        findings,
    })
}

/// The things of all rows, with what the other lists say of them.
fn drafted(
    mut draft: Draft,
    sheets: &[Sheet<'_>],
    rows: Vec<(Kind, RowWire)>,
    mapping: &Mapping,
    findings: &mut Findings,
) -> Draft {
    let mut names = draft::Names::of(mapping);
    names.take(&draft);
    let mut ratings = BTreeMap::new();
    for sheet in sheets.iter().filter(|sheet| sheet.kind == Kind::Fuses) {
        ratings.extend(draft::ratings(sheet, &mut draft, findings));
    }
    let listed: BTreeSet<String> =
        rows.iter().filter(|(kind, _)| *kind != Kind::Pins).filter_map(|(_, row)| row.number.clone()).collect();
    let (tables, wires): (Vec<_>, Vec<_>) = rows.into_iter().partition(|(kind, _)| *kind == Kind::Pins);
    let mut tables: Vec<RowWire> = tables.into_iter().map(|(_, row)| row).collect();
    let pins = draft::taken(&mut tables, &listed, findings);
    let rows = wires.into_iter().map(|(_, row)| row).chain(tables).collect();
    draft::build(rows, &mut names, &ratings, &mut draft, findings);
    draft::apply(&pins, &mut names, &mut draft, findings);
    draft::spread(&mut draft, &names, findings);
    for sheet in sheets {
        match sheet.kind {
            Kind::Housings => draft::housings(sheet, &names, &mut draft, findings),
            Kind::Screens => draft::screens(sheet, &mut draft, findings),
            Kind::Retired => draft::retired(sheet, &mut draft, findings),
            _ => {}
        }
    }
    draft.studs();
    draft.joints(&names, findings);
    draft::cross_checks(&draft, findings);
    draft
}

/// The names that the cells of all lists show to be plugs.
fn known(sheets: &[Sheet<'_>], mapping: &Mapping) -> Known {
    let mut known = Known::default();
    let mut lists: Vec<Vec<&str>> = Vec::new();
    for sheet in
        sheets.iter().filter(|sheet| matches!(sheet.kind, Kind::Wires | Kind::Pins | Kind::Housings | Kind::ExportedWires))
    {
        known.plugs.extend(sheet.plug.clone());
        let mut ends = Vec::new();
        for (end, pin) in [(Meaning::From, Meaning::FromPin), (Meaning::To, Meaning::ToPin), (Meaning::Plug, Meaning::Pin)] {
            let Some(column) = sheet.column(end) else { continue };
            if sheet.column(pin).is_none() {
                ends.extend(sheet.rows().map(|row| row.text(column.index)).filter(|text| !text.is_empty()));
            }
            let has_pins = sheet.column(pin);
            if let Some(pin) = has_pins {
                known.has_poles |= sheet.rows().any(|row| row.text(pin.index) == "+");
            }
            for row in sheet.rows() {
                let text = row.text(column.index);
                match has_pins {
                    Some(pin) if !row.text(pin.index).is_empty() && !text.is_empty() => {
                        known.plugs.insert(text.to_owned());
                    }
                    None if end == Meaning::Plug && !text.is_empty() => {
                        known.plugs.insert(text.to_owned());
                    }
                    _ => {
                        known.learn(text);
                        known.count(text);
                    }
                }
            }
        }
        lists.push(ends);
    }
    for ends in lists {
        known.learn_ends(&ends);
    }
    for (name, point) in &mapping.points {
        match point.0 {
            Point::Name => {
                known.whole.insert(name.clone());
            }
            Point::Plug => {
                known.plugs.insert(name.clone());
            }
            _ => {}
        }
    }
    known
}

fn described(sheet: &Sheet<'_>) -> String {
    let list = &sheet.list;
    if sheet.header_row == 0 {
        return format!("in `{list}` no row of headings was recognised: name it in the mapping (`header-row`, `columns`)");
    }
    let columns: Vec<String> = sheet.columns.iter().map(|column| format!("`{}` is {}", column.key, column.meaning)).collect();
    format!("in `{list}` row {} was taken for the headings: {}", sheet.header_row, columns.join(", "))
}

fn understood(sheet: &Sheet<'_>, loom: Option<String>) -> Understood {
    let mut remarks = sheet.remarks.clone();
    if sheet.tab.is_hidden {
        remarks.push("the tab is hidden, and is read".to_owned());
    }
    if sheet.tab.is_filtered {
        remarks.push("a filter is set: rows that it hides are read".to_owned());
    }
    for column in &sheet.columns {
        if sheet.tab.hidden_columns.contains(&column.index) {
            remarks.push(format!("the column `{}` is hidden, and is read", column.key));
        }
    }
    // Notes on the cells of wires and pins are theirs, those of an export go along; of all others it is said that they are there.
    let is_heard =
        |row: &Row| row.number > sheet.header_row && (sheet.kind.is_exported() || matches!(sheet.kind, Kind::Wires | Kind::Pins));
    for row in sheet.tab.rows.iter().filter(|row| !is_heard(row)) {
        for cell in row.cells.iter().filter(|cell| !cell.note.is_empty()) {
            let place = format!("{}{}", harness_sheets::column_name(cell.column), row.number);
            remarks.push(format!("the note at {place} is not read: {}", cell.note));
        }
    }
    let is_wired = matches!(sheet.kind, Kind::Wires | Kind::Pins | Kind::ExportedWires);
    let filled = |row: &&Row| row.number > sheet.header_row && row.cells.iter().any(|cell| !cell.text.is_empty());
    Understood {
        list: sheet.list.clone(),
        kind: sheet.kind,
        header_row: sheet.header_row,
        rows: sheet.tab.rows.iter().filter(filled).count(),
        loom: loom.filter(|_| is_wired),
        plug: sheet.plug.clone(),
        columns: sheet
            .columns
            .iter()
            .map(|column| (column.key.clone(), column.meaning.to_string(), column.because.clone()))
            .collect(),
        remarks,
    }
}

/// What is unsure, folded by list and by what it is about.
fn doubts(draft: &Draft) -> Vec<report::Folded> {
    let mut folded: BTreeMap<(String, String), BTreeSet<u32>> = BTreeMap::new();
    let wires = draft.looms.values().flat_map(|loom| loom.wires.values()).map(|wire| (&wire.place, &wire.unsure));
    let pins = draft
        .ports
        .values()
        .flat_map(|port| port.pins.values())
        .filter_map(|pin| pin.place.as_ref().map(|place| (place, &pin.unsure)));
    for (place, unsure) in wires.chain(pins) {
        for doubt in unsure {
            let about = doubt.split_once(": ").map_or(doubt.as_str(), |(about, _)| about);
            folded.entry((place.list.clone(), about.to_owned())).or_default().insert(place.row);
        }
    }
    folded
        .into_iter()
        .map(|((list, what), rows)| report::Folded { list, column: None, what, rows: rows.into_iter().collect() })
        .collect()
}
