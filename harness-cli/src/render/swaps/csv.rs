//! Swaps as comma-separated values.

use super::word;
use crate::render::kit::{
    figures::rounded,
    sheet::{cell, sheet},
};
use harness_core::inspect::Swap;
use serde::Serialize;
use std::{
    borrow::Cow,
    io::{self, Write},
};

#[derive(Serialize, Default)]
struct Row<'a> {
    grade: &'static str,
    plug: Cow<'a, str>,
    mates: Cow<'a, str>,
    other_plug: Cow<'a, str>,
    other_mates: Cow<'a, str>,
    way: &'static str,
    effect: &'static str,
    point: Cow<'a, str>,
    meets: Cow<'a, str>,
    current_a: Option<f64>,
    fuse: Cow<'a, str>,
    opens_s: Option<f64>,
    words: Cow<'a, str>,
}

/// Writes one row per pair, with a heading.
///
/// # Errors
/// If `out` can't be written.
pub fn write(rows: &[Swap], out: &mut dyn Write) -> io::Result<()> {
    sheet(rows.iter().map(Row::of), out)
}

impl<'a> Row<'a> {
    fn of(row: &'a Swap) -> Self {
        let of = |list: &'a [String], at: usize| list.get(at).map_or(Cow::Borrowed(""), |text| cell(text));
        let point =
            |at: usize| row.points.as_ref().and_then(|points| points.get(at)).map_or(Cow::Borrowed(""), |text| cell(text));
        Self {
            grade: word(row.grade),
            plug: of(&row.plugs, 0),
            mates: of(&row.mates, 0),
            other_plug: of(&row.plugs, 1),
            other_mates: of(&row.mates, 1),
            way: row.way.unwrap_or_default(),
            effect: row.effect,
            point: point(0),
            meets: point(1),
            current_a: row.amps.map(|amps| rounded(amps.get())),
            fuse: row.fuse.as_ref().map_or(Cow::Borrowed(""), |(name, _)| cell(name)),
            opens_s: row.fuse.as_ref().map(|(_, time)| rounded(time.get())),
            words: cell(&row.words),
        }
    }
}
