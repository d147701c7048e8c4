//! A column of the picture: boxes below each other, cavities in each, and beside each cavity a strip for every line.
//!
//! All heights are whole tens, so that a line of the one column is never level with one of the other, which is set off by five.

use super::model::{End, Loom, State};
use crate::{
    phrase::fitting,
    render::{kit::printable, pictures::frame::plain},
};
use harness_core::diff::Key;
use harness_draw::{broken, clipped, width_of};
use std::collections::BTreeMap;

/// Width of a box.
pub(super) const BOX: f64 = 206.0;
/// The height of a line of text, and its size.
pub(super) const ROW: f64 = 16.0;
const SMALL: f64 = 12.0;
/// From a line to the lower edge of its strip.
const BELOW: f64 = 5.0;
/// Between a name and what is said of it.
pub(super) const GAP: f64 = 8.0;
/// Unchanged wires that a box shows; the nearest to the changed ones.
const MOST_BESIDE: usize = 6;

/// The next whole ten.
fn tens(height: f64) -> f64 {
    (height / 10.0).ceil() * 10.0
}

/// A strip beside a box.
#[derive(Debug)]
pub(super) struct Slot {
    pub(super) name: String,
    pub(super) words: Vec<String>,
    pub(super) state: State,
    /// The line that starts or ends here; `None` for an unchanged wire.
    pub(super) line: Option<usize>,
    pub(super) is_right: bool,
}

impl Slot {
    pub(super) fn height(&self) -> f64 {
        // The right strip has one line of words only.
        let lines = if self.is_right { 1 } else { self.words.len().max(1) };
        tens(lines as f64 * ROW + 12.0)
    }

    /// The lines of the label in so much room, the name at the start of the first.
    pub(super) fn lines(&self, room: f64) -> Vec<(String, String)> {
        let name = clipped(&self.name, SMALL, true, room);
        let left = room - width_of(&name, SMALL, true) - GAP;
        let words: Vec<String> = self.words.iter().map(|words| plain(words)).collect();
        let first = words.first().map_or("", String::as_str);
        let first = match () {
            // What has no room beside a long name is at the other end of the line or in words.
            () if left < 24.0 => String::new(),
            // The words are whole at the left end.
            () if self.is_right && width_of(first, SMALL, false) > left => clipped("changed", SMALL, false, left),
            () => clipped(first, SMALL, false, left),
        };
        let more = if self.is_right { &[][..] } else { words.get(1..).unwrap_or_default() };
        let more = more.iter().map(|words| (String::new(), clipped(words, SMALL, false, room)));
        std::iter::once((name, first)).chain(more).collect()
    }
}

/// A cavity with its strips.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) cavity: String,
    pub(super) words: Vec<String>,
    pub(super) slots: Vec<Slot>,
    pub(super) y: f64,
}

impl Row {
    pub(super) fn height(&self) -> f64 {
        let words = tens(self.words.len().max(1) as f64 * ROW + 12.0);
        self.slots.iter().map(Slot::height).sum::<f64>().max(words)
    }
}

/// An end as it is in a column.
#[derive(Debug)]
pub(super) struct Standing<'a> {
    pub(super) key: Key,
    pub(super) end: &'a End,
    pub(super) words: Vec<String>,
    pub(super) rows: Vec<Row>,
    /// Unchanged wires that are not shown.
    pub(super) more: usize,
    pub(super) y: f64,
}

impl Standing<'_> {
    pub(super) fn head(&self) -> f64 {
        tens(26.0 + self.words.len() as f64 * ROW)
    }

    pub(super) fn height(&self) -> f64 {
        self.head() + self.rows.iter().map(Row::height).sum::<f64>() + if self.more > 0 { 20.0 } else { 0.0 }
    }

    pub(super) fn lines(&self) -> impl Iterator<Item = usize> {
        self.rows.iter().flat_map(|row| &row.slots).filter_map(|slot| slot.line)
    }
}

#[derive(Debug)]
pub(super) struct Column<'a> {
    pub(super) boxes: Vec<Standing<'a>>,
    pub(super) bottom: f64,
    pub(super) is_right: bool,
}

impl<'a> Column<'a> {
    pub(super) fn new(loom: &'a Loom, sides: &[usize], is_right: bool) -> Self {
        // By end, then by cavity.
        let mut slots: BTreeMap<&Key, BTreeMap<(u32, &str), Vec<Slot>>> = BTreeMap::new();
        for (at, (line, side)) in loom.lines.iter().zip(sides).enumerate() {
            let spot = if (*side == 0) == is_right { &line.ends[1] } else { &line.ends[0] };
            let name = printable(&line.name).into_owned();
            let words = line.words.iter().map(|words| printable(words).into_owned()).collect();
            let slot = Slot { name, words, state: line.state, line: Some(at), is_right };
            slots.entry(&spot.end).or_default().entry(natural(&spot.cavity)).or_default().push(slot);
        }
        let boxes = slots.into_iter().filter_map(|(key, mut cavities)| {
            let end = loom.ends.get(key)?;
            let more = beside(end, &mut cavities, is_right);
            let row = |((_, cavity), slots): ((u32, &str), Vec<Slot>)| Row {
                cavity: cavity.to_owned(),
                words: end
                    .signals
                    .get(cavity)
                    .into_iter()
                    .flatten()
                    .flat_map(|words| broken(&printable(&plain(words)), SMALL, false, BOX - 62.0))
                    .collect(),
                slots,
                y: 0.0,
            };
            let words = end.words.iter().flat_map(|words| broken(&printable(&plain(words)), SMALL, false, BOX - 20.0)).collect();
            Some(Standing { key: key.clone(), end, words, rows: cavities.into_iter().map(row).collect(), more, y: 0.0 })
        });
        let mut boxes: Vec<Standing<'a>> = boxes.collect();
        boxes.sort_by(|a, b| named(&a.end.name).cmp(&named(&b.end.name)));
        Self { boxes, bottom: 0.0, is_right }
    }

    pub(super) fn place(&mut self, top: f64) {
        let mut y = top;
        for one in &mut self.boxes {
            one.y = y;
            let mut row_y = y + one.head();
            for row in &mut one.rows {
                row.y = row_y;
                row_y += row.height();
            }
            y += one.height() + 20.0;
        }
        self.bottom = y;
    }

    /// The height of each line where it leaves this column.
    pub(super) fn lines(&self) -> BTreeMap<usize, f64> {
        let mut heights = BTreeMap::new();
        for row in self.boxes.iter().flat_map(|one| &one.rows) {
            let mut y = row.y;
            for slot in &row.slots {
                y += slot.height();
                heights.extend(slot.line.map(|line| (line, y - BELOW)));
            }
        }
        heights
    }
}

/// Adds the unchanged wires nearest to the changed ones, and counts those that are left out.
fn beside<'a>(end: &'a End, cavities: &mut BTreeMap<(u32, &'a str), Vec<Slot>>, is_right: bool) -> usize {
    let mut around: Vec<(u32, &(String, String))> = end
        .beside
        .iter()
        .map(|one| {
            let at = natural(&one.0).0;
            (cavities.keys().map(|(known, _)| known.abs_diff(at)).min().unwrap_or(0), one)
        })
        .collect();
    around.sort();
    let shown = fitting(around.len(), MOST_BESIDE);
    for (_, (cavity, words)) in around.iter().take(shown) {
        let slot = Slot { name: String::new(), words: vec![words.clone()], state: State::Unchanged, line: None, is_right };
        cavities.entry(natural(cavity)).or_default().push(slot);
    }
    around.len() - shown
}

/// Names in the order in which people count: `P8` before `P10`.
fn named(name: &str) -> (&str, u32, &str) {
    let letters = name.trim_end_matches(|letter: char| letter.is_ascii_digit());
    (letters, name.get(letters.len()..).and_then(|digits| digits.parse().ok()).unwrap_or(0), name)
}

/// Cavities in the order in which people count.
pub(super) fn natural(cavity: &str) -> (u32, &str) {
    (cavity.parse().unwrap_or(u32::MAX), cavity)
}
