//! Where the headings are, the sides above them, and what the titles say.

use super::{Meaning, Sheet, headings::meanings};
use harness_sheets::{Row, Tab};
use std::collections::BTreeSet;

/// Rows that are looked at for the headings.
const TOP: usize = 20;

/// The row with the most cells that are headings: two at least, or one beside nothing else.
pub(super) fn header_row(tab: &Tab) -> Option<usize> {
    let score = |row: &Row| {
        let known = row.cells.iter().filter(|cell| !meanings(&cell.text).is_empty()).count();
        // Most of its cells must be headings: a wire from `A` to `B` in `Red` is none.
        if known * 2 >= row.cells.len() && (known >= 2 || row.cells.len() <= 2 && known >= 1) { known } else { 0 }
    };
    let scores: Vec<usize> = tab.rows.iter().take(TOP).map(score).collect();
    let best = scores.iter().copied().max().filter(|best| *best > 0)?;
    let at = scores.iter().position(|score| *score == best)?;
    // Sides above, plugs and pins below them: the second row is that of the headings.
    let is_second = |row: &Row| {
        row.cells.len() >= 2
            && row
                .cells
                .iter()
                .all(|cell| meanings(&cell.text).iter().any(|meaning| matches!(meaning, Meaning::Plug | Meaning::Pin)))
    };
    let has_sides =
        tab.rows.get(at).is_some_and(|row| row.cells.iter().any(|cell| matches!(meanings(&cell.text), [Meaning::From])));
    Some(if has_sides && tab.rows.get(at + 1).is_some_and(is_second) { at + 1 } else { at })
}

/// The headings of all columns that hold something, joined with the one above where that says the side.
pub(super) fn headings(tab: &Tab, row: Option<&Row>, above: Option<&Row>) -> Vec<(u32, String)> {
    let from = row.map_or(0, |row| row.number);
    let mut columns: BTreeSet<u32> = row.into_iter().flat_map(|row| row.cells.iter().map(|cell| cell.column)).collect();
    columns.extend(tab.rows.iter().filter(|row| row.number > from).flat_map(|row| row.cells.iter().map(|cell| cell.column)));
    let side = |column: u32| -> Option<&str> {
        let cell = above?.cells.iter().rev().find(|cell| cell.column <= column)?;
        let reach = cell.column + cell.spans.max(1);
        let next = above?.cells.iter().find(|cell| cell.column > column).map_or(u32::MAX, |cell| cell.column);
        let is_side = matches!(meanings(&cell.text), [Meaning::From | Meaning::To]);
        // Without merged cells the side holds up to the next one.
        (is_side && (column < reach || cell.spans <= 1 && column < next)).then_some(cell.text.as_str())
    };
    let is_heading = above.is_some_and(|above| above.cells.iter().filter(|cell| !meanings(&cell.text).is_empty()).count() >= 2);
    let heading = |column: u32| {
        let own = row.map_or("", |row| row.text(column));
        match side(column) {
            _ if own.is_empty() && is_heading => above.map_or("", |above| above.text(column)).to_owned(),
            Some(side) if matches!(meanings(own), [Meaning::Plug | Meaning::Pin]) => format!("{side} {own}"),
            _ => own.to_owned(),
        }
    };
    columns.into_iter().map(|column| (column, heading(column))).collect()
}

/// Words before the name of a plug in a title.
const PLUG_WORDS: [&str; 13] = [
    "pinout of",
    "pins of",
    "plug",
    "connector",
    "pinout",
    "stecker",
    "steckverbinder",
    "pinbelegung",
    "connecteur",
    "fiche",
    "connettore",
    "conector",
    "stekker",
];

/// The plug that a title names: `Plug P3`, `Pinout of plug J1, helm side`, `P3`.
pub(crate) fn plug_of(title: &str) -> Option<String> {
    let lower = title.to_lowercase();
    let at = PLUG_WORDS.iter().filter_map(|word| {
        let found = lower.find(word)?;
        let is_word = found == 0 || lower.get(..found).is_some_and(|before| before.ends_with(' '));
        is_word.then_some(found + word.len())
    });
    // The last of the words is next to the name.
    if let Some(at) = at.max() {
        let rest = title.get(at..).unwrap_or("").trim_start_matches([':', ' ', '-', '#']);
        let name = rest.split([',', '(', ':', ';']).next().unwrap_or("").split_whitespace().next().unwrap_or("");
        if !name.is_empty() {
            return Some(name.to_owned());
        }
    }
    (title.split_whitespace().count() == 1).then(|| title.to_owned())
}

/// The plug that a table of pins is of: by a title, or by the name of its tab.
pub(super) fn title_plug(sheet: &Sheet<'_>) -> Option<String> {
    let by_title = sheet.titles.iter().rev().find_map(|(_, title)| plug_of(title));
    let tab = sheet.tab.name.trim();
    by_title.or_else(|| plug_of(tab)).or_else(|| (!tab.is_empty()).then(|| tab.to_owned()))
}
