//! What the streaming reader does not give: hidden rows and columns, filters, merged cells, formulas without a value, letters struck out.

use super::parts::{Parts, attribute, each, each_start, is_set};
use crate::{Unreadable, limits};
use quick_xml::events::{BytesStart, Event};
use std::collections::{BTreeMap, BTreeSet};

/// The largest row and column of the format (ECMA-376 part 1, 18.3.1.73 and 18.3.1.13; from memory).
const ROWS: u32 = 1_048_576;
const COLUMNS: u32 = 16_384;

/// Most merged regions of a tab: a list merged in every row has thousands.
const MERGES: usize = 100_000;

/// What is known of a tab beside its cells. Rows and columns count from 0.
#[derive(Debug, Default)]
pub(super) struct About {
    pub(super) hidden_rows: BTreeSet<u32>,
    pub(super) hidden_columns: BTreeSet<u32>,
    pub(super) is_filtered: bool,
    pub(super) merges: Vec<Merge>,
    /// Formulas whose value was not stored.
    pub(super) without_value: BTreeSet<(u32, u32)>,
    /// Which shared text a cell shows.
    pub(super) strings: BTreeMap<(u32, u32), usize>,
    /// Notes that people have put on cells.
    pub(super) notes: BTreeMap<(u32, u32), String>,
    /// Cells with a text of their own, struck out in places.
    pub(super) partly_struck: BTreeSet<(u32, u32)>,
}

/// A merged region, corners included.
#[derive(Debug, Clone, Copy)]
pub(super) struct Merge {
    pub(super) top: u32,
    pub(super) left: u32,
    pub(super) bottom: u32,
    pub(super) right: u32,
}

/// The texts that cells share.
#[derive(Debug, Default)]
pub(super) struct Strings {
    /// Those with some letters struck out, by number.
    pub(super) partly_struck: BTreeSet<usize>,
}

/// Looks through the shared texts.
pub(super) fn strings(parts: &mut Parts<'_>) -> Result<Strings, Unreadable> {
    let mut strings = Strings::default();
    let Some((mut xml, size)) = parts.xml("xl/sharedStrings.xml")? else { return Ok(strings) };
    let mut number = 0usize;
    each_start(&mut xml, |start| {
        match start.local_name().as_ref() {
            // The reader makes room for as many as this says; each takes five bytes at least.
            "sst" => {
                let stated: u64 = attribute(start, "uniqueCount").and_then(|count| count.parse().ok()).unwrap_or(0);
                if stated > size {
                    return Err(Unreadable::Damaged("the list of texts says it holds more than it can".to_owned()));
                }
            }
            "si" => number += 1,
            "strike" if is_struck(start) => {
                strings.partly_struck.insert(number.saturating_sub(1));
            }
            _ => {}
        }
        Ok(())
    })?;
    Ok(strings)
}

/// A strike that is there and not switched off.
fn is_struck(start: &BytesStart<'_>) -> bool {
    attribute(start, "val").is_none_or(|value| value != "0" && value != "false")
}

/// Looks through the part of a tab.
pub(super) fn sheet(parts: &mut Parts<'_>, part: &str) -> Result<About, Unreadable> {
    let mut about = About::default();
    let Some((mut xml, _)) = parts.xml(part)? else { return Ok(about) };
    let mut at = Where::default();
    each(&mut xml, |event| {
        match event {
            Event::Start(start) => at.begin(start, &mut about)?,
            Event::Text(text) if at.in_value => {
                at.has_value |= !text.as_ref().trim().is_empty();
                if at.is_shared {
                    at.value.push_str(text.as_ref());
                }
            }
            Event::End(end) => match end.local_name().as_ref() {
                "v" => {
                    at.in_value = false;
                    if let Ok(index) = at.value.trim().parse() {
                        about.strings.insert((at.row, at.column), index);
                    }
                    at.value.clear();
                }
                "c" => {
                    if at.has_formula && !at.has_value {
                        about.without_value.insert((at.row, at.column));
                    }
                    at.column += 1;
                }
                "row" => {
                    at.row += 1;
                    at.column = 0;
                }
                _ => {}
            },
            _ => {}
        }
        if about.strings.len() > limits::CELLS || about.without_value.len() > limits::CELLS {
            return Err(Unreadable::TooMuch { what: "cells", most: limits::CELLS });
        }
        Ok(())
    })?;
    Ok(about)
}

/// The place that the pass has reached.
#[derive(Default)]
struct Where {
    row: u32,
    column: u32,
    has_formula: bool,
    has_value: bool,
    is_shared: bool,
    is_text: bool,
    in_value: bool,
    value: String,
}

impl Where {
    fn begin(&mut self, start: &BytesStart<'_>, about: &mut About) -> Result<(), Unreadable> {
        match start.local_name().as_ref() {
            "dimension" => {
                region(&attribute(start, "ref").unwrap_or_default())?;
            }
            "row" => {
                // The reader counts on with a number that no sheet has, and would give another one.
                if let Some(text) = attribute(start, "r") {
                    let number = text.parse::<u32>().ok().filter(|number| (1..=ROWS).contains(number));
                    self.row = number.ok_or_else(|| no_place("row", &text))? - 1;
                }
                self.column = 0;
                if is_set(start, "hidden") {
                    about.hidden_rows.insert(self.row);
                }
            }
            "col" if is_set(start, "hidden") => {
                let number = |name| attribute(start, name).and_then(|number| number.parse::<u32>().ok()).unwrap_or(0);
                about.hidden_columns.extend((number("min").max(1)..=number("max").min(COLUMNS)).map(|column| column - 1));
            }
            "c" => {
                if let Some(text) = attribute(start, "r") {
                    (self.row, self.column) = place(&text).ok_or_else(|| no_place("cell", &text))?;
                }
                self.has_formula = false;
                self.has_value = false;
                let kind = attribute(start, "t");
                self.is_shared = kind.as_deref() == Some("s");
                // A formula may give a text without letters.
                self.is_text = kind.as_deref() == Some("str");
                self.in_value = false;
            }
            "f" => self.has_formula = true,
            // An element of a value that holds none is none.
            "v" | "is" => {
                self.has_value |= self.is_text;
                self.in_value = true;
                self.value.clear();
            }
            "strike" if is_struck(start) => {
                about.partly_struck.insert((self.row, self.column));
            }
            "autoFilter" => about.is_filtered = true,
            "mergeCell" => {
                let [(top, left), (bottom, right)] = region(&attribute(start, "ref").unwrap_or_default())?;
                about.merges.push(Merge { top, left, bottom, right });
                if about.merges.len() > MERGES {
                    return Err(Unreadable::TooMuch { what: "merged regions", most: MERGES });
                }
            }
            _ => {}
        }
        Ok(())
    }
}

fn no_place(what: &str, text: &str) -> Unreadable {
    Unreadable::Damaged(format!("`{}` is not a {what} of a sheet", text.chars().take(40).collect::<String>()))
}

/// The corners of `B2:D7`; a region that runs backwards is damage, and the reader does not bear it.
fn region(text: &str) -> Result<[(u32, u32); 2], Unreadable> {
    let (first, last) = text.split_once(':').unwrap_or((text, text));
    let damaged = || Unreadable::Damaged(format!("`{}` is not a region", text.chars().take(40).collect::<String>()));
    let (first, last) = (place(first).ok_or_else(damaged)?, place(last).ok_or_else(damaged)?);
    if last.0 < first.0 || last.1 < first.1 { Err(damaged()) } else { Ok([first, last]) }
}

/// Row and column of `B7`, counted from 0.
pub(super) fn place(text: &str) -> Option<(u32, u32)> {
    let digits = text.find(|letter: char| letter.is_ascii_digit())?;
    let (letters, number) = text.split_at(digits);
    if letters.is_empty() || letters.len() > 3 {
        return None;
    }
    let mut column = 0u32;
    for letter in letters.bytes() {
        column = column * 26 + u32::from(letter.is_ascii_alphabetic().then(|| letter.to_ascii_uppercase() - b'A' + 1)?);
    }
    let row = number.parse::<u32>().ok().filter(|row| (1..=ROWS).contains(row))?;
    Some((row - 1, column - 1)).filter(|_| column <= COLUMNS)
}
