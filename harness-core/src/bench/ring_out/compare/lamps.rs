//! Rows of what was seen on a lamp board, as a person wrote them, to lamps that were lit or dark: what can't be read or was not noted is said.

use super::{Observed, measured::found};
use crate::bench::ring_out::{
    bare::Spot,
    lamp_board::{Board, Lamp},
    rig::Rig,
};
use std::collections::BTreeMap;

/// One row of a list of what was seen on a lamp board, as it is written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LampRow {
    /// Its line in the file.
    pub line: usize,
    /// The number of the pattern.
    pub pattern: String,
    /// The place of one lamp; empty in a row that names all lamps that were lit.
    pub point: String,
    /// What the lamp did: `lit`, `dark`; empty where nobody noted it.
    pub value: String,
    /// The places of all lamps that were lit in the pattern; `None` in a row of one lamp.
    pub lit: Option<Vec<String>>,
}

/// Lamps of a pattern that nobody noted.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct UnseenLamps {
    /// The pattern.
    pub pattern: usize,
    /// The places of the lamps; empty where all of the pattern are missing.
    pub points: Vec<String>,
}

/// What a list of rows comes to.
#[derive(Debug, Default)]
pub(in crate::bench::ring_out) struct Noted {
    /// What each lamp did, pattern by pattern.
    seen: BTreeMap<Spot, Vec<Option<bool>>>,
    /// What could not be read or contradicts itself, in the order of the lines.
    pub(in crate::bench::ring_out) troubles: Vec<String>,
    pub(in crate::bench::ring_out) notes: Vec<String>,
    pub(in crate::bench::ring_out) unseen: Vec<UnseenLamps>,
    /// How many lamps were noted, each in each pattern.
    pub(in crate::bench::ring_out) taken: usize,
}

const LIT: [&str; 8] = ["lit", "on", "1", "yes", "y", "x", "bright", "glows"];
const DARK: [&str; 7] = ["dark", "off", "0", "no", "n", "out", "unlit"];

pub(in crate::bench::ring_out) fn noted(rig: &Rig, board: &Board, loom: &str, rows: &[LampRow]) -> Noted {
    let mut reader = Reader { rig, board, lines: BTreeMap::new(), whole: BTreeMap::new(), noted: Noted::default() };
    let names: BTreeMap<&str, Spot> = board.places.iter().map(|spot| (rig.bare.spots[*spot].name.as_str(), *spot)).collect();
    for row in rows {
        let number: Option<usize> = row.pattern.trim().parse().ok();
        let Some(pattern) = number.and_then(|number| number.checked_sub(1)).filter(|at| *at < board.patterns()) else {
            let count = board.patterns();
            reader.trouble(row, format!("there is no pattern `{}`; they are 1 to {count}", row.pattern));
            continue;
        };
        match &row.lit {
            Some(lit) => reader.whole(row, pattern, lit.iter().map(|name| (name.as_str(), found(&names, loom, name)))),
            None => reader.lamp(row, pattern, found(&names, loom, &row.point)),
        }
    }
    reader.finish()
}

struct Reader<'b> {
    rig: &'b Rig,
    board: &'b Board,
    /// The line in which a lamp of a pattern was noted first, and what it did; nothing where lines contradict each other.
    lines: BTreeMap<(usize, Spot), (usize, Option<bool>)>,
    /// The line in which all lamps of a pattern were noted first.
    whole: BTreeMap<usize, usize>,
    noted: Noted,
}

impl Reader<'_> {
    fn trouble(&mut self, row: &LampRow, what: String) {
        self.noted.troubles.push(format!("line {}: {what}", row.line));
    }

    /// A row of one lamp.
    fn lamp(&mut self, row: &LampRow, pattern: usize, spot: Result<Spot, String>) {
        let word = row.value.trim().to_lowercase();
        if word.is_empty() {
            return;
        }
        let is_lit = match (LIT.contains(&word.as_str()), DARK.contains(&word.as_str())) {
            (true, _) => true,
            (_, true) => false,
            _ => return self.trouble(row, format!("`{}` is neither `lit` nor `dark`", row.value)),
        };
        match spot {
            Ok(spot) => self.note(row, pattern, spot, is_lit),
            Err(why) => self.trouble(row, why),
        }
    }

    /// A row that names all lamps that were lit: the others of the pattern were dark.
    fn whole<'n>(&mut self, row: &LampRow, pattern: usize, lit: impl Iterator<Item = (&'n str, Result<Spot, String>)>) {
        let mut all: Vec<Spot> = Vec::new();
        let (mut is_empty, mut is_whole) = (true, true);
        for (name, spot) in lit {
            match spot {
                _ if name.eq_ignore_ascii_case("none") => {}
                Ok(spot) => all.push(spot),
                Err(why) => {
                    self.trouble(row, why);
                    is_whole = false;
                }
            }
            is_empty = false;
        }
        // Nothing was written, or it can't be said which lamp of the others it was.
        if is_empty || !is_whole {
            return;
        }
        if let Some(line) = self.whole.insert(pattern, row.line) {
            self.noted.notes.push(format!("line {}: the lamps of pattern {} are in line {line} too", row.line, pattern + 1));
        }
        for spot in self.board.places.clone() {
            // A lamp beside a switch that is on is lit by it: many leave it out.
            if all.contains(&spot) || !self.board.is_on(spot, pattern) {
                self.note(row, pattern, spot, all.contains(&spot));
            }
        }
    }

    fn note(&mut self, row: &LampRow, pattern: usize, spot: Spot, is_lit: bool) {
        let name = &self.rig.bare.spots[spot].name;
        if self.board.is_on(spot, pattern) && !is_lit {
            let what = format!(
                "the switch of `{name}` is on in pattern {}, so that its lamp is lit whatever the loom is: look at switch and lamp, and \
                 take the pattern again",
                pattern + 1
            );
            return self.trouble(row, what);
        }
        match self.lines.get_mut(&(pattern, spot)) {
            None => {
                self.lines.insert((pattern, spot), (row.line, Some(is_lit)));
            }
            Some((_, before)) if *before == Some(is_lit) => {}
            Some((line, before)) => {
                *before = None;
                let line = *line;
                let what =
                    format!("the lamp of `{name}` in pattern {} is another one in line {line}; neither counts", pattern + 1);
                self.trouble(row, what);
            }
        }
    }

    fn finish(mut self) -> Noted {
        let count = self.board.patterns();
        for (pattern, missing) in (0..count).map(|pattern| (pattern, self.missing(pattern))).collect::<Vec<_>>() {
            let all = self.board.places.iter().filter(|spot| self.counts(**spot, pattern)).count();
            if !missing.is_empty() {
                let points = if missing.len() == all { Vec::new() } else { missing };
                self.noted.unseen.push(UnseenLamps { pattern: pattern + 1, points });
            }
        }
        for ((pattern, spot), (_, is_lit)) in &self.lines {
            let seen = self.noted.seen.entry(*spot).or_insert_with(|| vec![None; count]);
            if let (Some(place), Some(_)) = (seen.get_mut(*pattern), is_lit) {
                *place = *is_lit;
                self.noted.taken += 1;
            }
        }
        self.noted
    }

    /// Whether a lamp says anything of the loom in a pattern.
    fn counts(&self, spot: Spot, pattern: usize) -> bool {
        !self.board.is_on(spot, pattern) && self.board.should_be(spot, pattern) != Lamp::Unsure
    }

    /// The places of the lamps of a pattern that nobody noted.
    fn missing(&self, pattern: usize) -> Vec<String> {
        let is_noted = |spot: Spot| self.lines.contains_key(&(pattern, spot));
        let missing = self.board.places.iter().filter(|spot| self.counts(**spot, pattern) && !is_noted(**spot));
        missing.map(|spot| self.rig.bare.spots[*spot].name.clone()).collect()
    }
}

impl Noted {
    /// What was seen of each lamp.
    pub(in crate::bench::ring_out) fn observed<'n>(&'n self, board: &'n Board) -> Vec<Observed<'n>> {
        self.seen.iter().map(|(at, seen)| Observed::Lamp { board, at: *at, seen }).collect()
    }
}
