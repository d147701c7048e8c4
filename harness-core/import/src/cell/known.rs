//! What the cells of all lists show of the names in them: which are plugs, which are splices.

use super::{
    ground::is_ground,
    pieces::{is_cavity, is_thread, pieces_of_chain, without_words},
};
use std::collections::{BTreeMap, BTreeSet};

/// What is known of the names in a list, from all of its cells.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// Names of plugs.
    pub plugs: BTreeSet<String>,
    /// What stems before a dash are followed by.
    stems: BTreeMap<String, BTreeSet<String>>,
    /// Names that are whole, though they look like a plug with its cavity; from the mapping.
    pub whole: BTreeSet<String>,
    /// Names without cavities that so many wires share that they are splices.
    pub splices: BTreeSet<String>,
    /// Pins are called `+`, so that one called `-` is the other pole and not a dash for nothing.
    pub has_poles: bool,
    /// How often a name that may be a splice is an end by itself.
    alone: BTreeMap<String, u32>,
}

impl Known {
    /// Learns from an end cell: what is before a colon is a plug, and so is what is before a dash again and again.
    pub fn learn(&mut self, cell: &str) {
        for piece in pieces_of_chain(cell).iter().flat_map(|piece| piece.split([';', '+', ','])) {
            let piece = piece.trim();
            if let Some((plug, cavity)) = piece.rsplit_once(':')
                && is_cavity(cavity.trim())
                && !plug.trim().is_empty()
            {
                self.plugs.insert(plug.trim().to_owned());
            } else if let Some((stem, cavity)) = piece.rsplit_once('-')
                && is_cavity(cavity)
                && !stem.is_empty()
                && !is_ground(stem)
            {
                self.stems.entry(stem.to_owned()).or_default().insert(cavity.to_owned());
            } else if let Some((plug, cavity)) = without_words(piece).rsplit_once(char::is_whitespace)
                && is_cavity(cavity)
                && cavity.contains(|letter: char| letter.is_ascii_digit())
                && !is_thread(cavity)
                && !is_ground(plug)
                && !plug.contains(char::is_whitespace)
            {
                self.plugs.insert(plug.to_owned());
            }
        }
    }

    /// Learns from the ends of a list: where several of them are split at a dash, because one name has several cavities, the names with one are plugs
    /// too.
    pub fn learn_ends(&mut self, cells: &[&str]) {
        let pieces = cells.iter().flat_map(|cell| pieces_of_chain(cell));
        let ends = pieces.flat_map(|piece| piece.split([';', '+', ',']).map(|end| end.trim().to_owned()).collect::<Vec<_>>());
        let stem = |end: String| {
            let (stem, cavity) = end.rsplit_once('-')?;
            (is_cavity(cavity) && !stem.is_empty() && !is_ground(stem)).then(|| stem.to_owned())
        };
        let stems: Vec<String> = ends.filter_map(stem).collect();
        let split = stems.iter().filter(|stem| self.is_stem(stem)).count();
        if split >= 2 && split * 2 >= stems.len() {
            self.plugs.extend(stems);
        }
    }

    /// Counts a whole cell that may name a splice: `S1`, `S-101`, `J4`.
    pub fn count(&mut self, cell: &str) {
        let name = cell.trim();
        let rest = name.strip_prefix(['S', 'J']).map(|rest| rest.strip_prefix('-').unwrap_or(rest));
        if rest.is_some_and(|rest| {
            rest.starts_with(|letter: char| letter.is_ascii_digit()) || name.starts_with("S-") && !rest.is_empty()
        }) {
            *self.alone.entry(name.to_owned()).or_default() += 1;
        }
    }

    /// Takes for splices what three wires or more end at and no cell gives a cavity of; their names.
    pub fn settle(&mut self) -> Vec<String> {
        let many =
            self.alone.iter().filter(|(name, count)| **count >= 3 && !self.plugs.contains(*name) && !self.whole.contains(*name));
        self.splices = many.map(|(name, _)| name.clone()).collect();
        self.splices.iter().cloned().collect()
    }

    pub(super) fn is_stem(&self, stem: &str) -> bool {
        self.plugs.contains(stem) || self.stems.get(stem).is_some_and(|cavities| cavities.len() > 1)
    }
}
