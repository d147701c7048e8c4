//! A column of the picture: boxes below each other, cavities in each, and beside each cavity a strip for every line.

use super::model::{End, Loom, State};
use crate::phrase::fitting;
use harness_core::diff::Key;
use std::collections::BTreeMap;

/// Width of a box, in pixels.
pub(super) const BOX: i32 = 206;
/// The height of a line of text, and the width of a letter, wide for a sans-serif so that no font runs over.
pub(super) const ROW: i32 = 16;
pub(super) const LETTER: i32 = 8;
/// Unchanged wires that a box shows; the nearest to the changed ones.
const MOST_BESIDE: usize = 6;

/// `text` in at most `most` characters; what goes is its middle, because both ends of a name say more.
fn shortened(text: &str, most: usize) -> String {
    let letters: Vec<char> = text.chars().collect();
    if letters.len() <= most || most < 3 {
        return text.to_owned();
    }
    let (head, tail) = (most / 2, most - most / 2 - 1);
    let start: String = letters.iter().take(head).collect();
    let end: String = letters.iter().skip(letters.len() - tail).collect();
    format!("{start}…{end}")
}

/// `text` in so many pixels; what goes is its middle.
pub(super) fn fitted(text: &str, room: i32, letter: i32) -> String {
    shortened(text, (room / letter).max(3) as usize)
}

/// `text` in lines of so many pixels, broken at blanks; a word that is longer loses its middle.
fn broken(text: &str, room: i32) -> Vec<String> {
    let room = (room / LETTER).max(3) as usize;
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(shortened(word, room)),
        }
    }
    lines
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
    pub(super) fn height(&self) -> i32 {
        // The right strip has one line of words only.
        let lines = if self.is_right { 1 } else { self.words.len().max(1) as i32 };
        lines * ROW + 9
    }

    /// The lines of the label, the name at the start of the first.
    pub(super) fn lines(&self, room: i32) -> Vec<(String, String)> {
        let room = room / LETTER;
        let name = shortened(&self.name, room.max(3) as usize);
        let left = room - name.chars().count() as i32 - 2;
        let first = self.words.first().map_or("", String::as_str);
        let first = match () {
            // What has no room beside a long name is at the other end of the line or in words.
            () if left < 3 => String::new(),
            // The words are whole at the left end.
            () if self.is_right && first.chars().count() as i32 > left => shortened("changed", left as usize),
            () => shortened(first, left as usize),
        };
        let more = if self.is_right { &[][..] } else { self.words.get(1..).unwrap_or_default() };
        let more = more.iter().map(|words| (String::new(), shortened(words, room.max(3) as usize)));
        std::iter::once((name, first)).chain(more).collect()
    }
}

/// A cavity with its strips.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) cavity: String,
    pub(super) words: Vec<String>,
    pub(super) slots: Vec<Slot>,
    pub(super) y: i32,
}

impl Row {
    pub(super) fn height(&self) -> i32 {
        let words = self.words.len().max(1) as i32 * ROW + 9;
        self.slots.iter().map(Slot::height).sum::<i32>().max(words)
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
    pub(super) y: i32,
}

impl Standing<'_> {
    pub(super) fn head(&self) -> i32 {
        28 + self.words.len() as i32 * ROW
    }

    pub(super) fn height(&self) -> i32 {
        self.head() + self.rows.iter().map(Row::height).sum::<i32>() + if self.more > 0 { ROW + 6 } else { 0 }
    }

    pub(super) fn lines(&self) -> impl Iterator<Item = usize> {
        self.rows.iter().flat_map(|row| &row.slots).filter_map(|slot| slot.line)
    }
}

#[derive(Debug)]
pub(super) struct Column<'a> {
    pub(super) boxes: Vec<Standing<'a>>,
    pub(super) bottom: i32,
}

impl<'a> Column<'a> {
    pub(super) fn new(loom: &'a Loom, sides: &[usize], is_right: bool) -> Self {
        // By end, then by cavity.
        let mut slots: BTreeMap<&Key, BTreeMap<(u32, &str), Vec<Slot>>> = BTreeMap::new();
        for (at, (line, side)) in loom.lines.iter().zip(sides).enumerate() {
            let spot = if (*side == 0) == is_right { &line.ends[1] } else { &line.ends[0] };
            let (name, words) = (line.name.clone(), line.words.clone());
            let slot = Slot { name, words, state: line.state, line: Some(at), is_right };
            slots.entry(&spot.end).or_default().entry(natural(&spot.cavity)).or_default().push(slot);
        }
        let boxes = slots.into_iter().filter_map(|(key, mut cavities)| {
            let end = loom.ends.get(key)?;
            let more = beside(end, &mut cavities, is_right);
            let row = |((_, cavity), slots): ((u32, &str), Vec<Slot>)| Row {
                cavity: cavity.to_owned(),
                words: end.signals.get(cavity).into_iter().flatten().flat_map(|words| broken(words, BOX - 62)).collect(),
                slots,
                y: 0,
            };
            let words = end.words.iter().flat_map(|words| broken(words, BOX - 20)).collect();
            Some(Standing { key: key.clone(), end, words, rows: cavities.into_iter().map(row).collect(), more, y: 0 })
        });
        let mut boxes: Vec<Standing<'a>> = boxes.collect();
        boxes.sort_by(|a, b| named(&a.end.name).cmp(&named(&b.end.name)));
        Self { boxes, bottom: 0 }
    }

    pub(super) fn place(&mut self, top: i32) {
        let mut y = top;
        for one in &mut self.boxes {
            one.y = y;
            let mut row_y = y + one.head();
            for row in &mut one.rows {
                row.y = row_y;
                row_y += row.height();
            }
            y += one.height() + 14;
        }
        self.bottom = y;
    }

    /// The height of each line where it leaves this column.
    pub(super) fn lines(&self) -> BTreeMap<usize, i32> {
        let mut heights = BTreeMap::new();
        for row in self.boxes.iter().flat_map(|one| &one.rows) {
            let mut y = row.y;
            for slot in &row.slots {
                y += slot.height();
                heights.extend(slot.line.map(|line| (line, y - 5)));
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
