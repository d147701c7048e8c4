//! Interned texts: every name, label and free text of a design is stored once.

use rustc_hash::FxHasher;
use std::hash::Hasher;

/// A text of the design, stored once in [`Names`]. Equal texts have equal names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Name(u32);

impl Name {
    /// The number of the name, for packing it into a node.
    pub(super) fn raw(self) -> u32 {
        self.0
    }

    /// The name with the number `raw`; reads as an empty text if there is none.
    pub(super) fn from_raw(raw: u32) -> Self {
        Self(raw)
    }
}

/// The store of all texts of a design.
///
/// Texts follow each other in one string, each behind its length; a name is the place of its length. A small
/// open-addressed table finds them again by hash. Interning touches two places of memory, one in the table and one in
/// the string, which is what it costs in a large design. Holds up to 4 GB of text, some sixty files of the largest size.
#[derive(Debug, Default, Clone)]
pub struct Names {
    /// Length in digits of base 64, the lowest first, each but the last with [`MORE`]; then the text.
    text: String,
    count: usize,
    /// 32 bits of the hash above the name.
    table: Vec<u64>,
}

const EMPTY: u64 = u64::MAX;
/// Marks a digit of a length that others follow; digits stay below 128 and so are characters of one byte.
const MORE: u8 = 0x40;

impl Names {
    /// An empty store.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The name of `text`, stored now if it was not known.
    pub fn intern(&mut self, text: &str) -> Name {
        if self.table.len() < (self.count + 1) * 2 {
            self.grow();
        }
        let hash = hash(text);
        let slot = self.slot(text, hash);
        match self.table.get_mut(slot) {
            Some(cell) if *cell == EMPTY => {
                let name = self.text.len() as u32;
                *cell = entry(hash, name);
                self.count += 1;
                self.store(text);
                Name(name)
            }
            Some(cell) => Name(*cell as u32),
            // The table is never empty here.
            None => Name(u32::MAX),
        }
    }

    /// The name of `text` if it is stored.
    #[must_use]
    pub fn find(&self, text: &str) -> Option<Name> {
        let cell = self.table.get(self.slot(text, hash(text))).copied();
        cell.filter(|&cell| cell != EMPTY).map(|cell| Name(cell as u32))
    }

    /// The text of `name`.
    #[must_use]
    pub fn text(&self, name: Name) -> &str {
        let (mut length, mut shift, mut start) = (0, 0, name.0 as usize);
        while let Some(&digit) = self.text.as_bytes().get(start) {
            length |= usize::from(digit & (MORE - 1)) << shift;
            shift += 6;
            start += 1;
            if digit & MORE == 0 || shift > 24 {
                break;
            }
        }
        self.text.get(start..start + length).unwrap_or("")
    }

    fn store(&mut self, text: &str) {
        let mut length = text.len();
        loop {
            let digit = (length as u8) & (MORE - 1);
            length >>= 6;
            self.text.push(char::from(if length > 0 { digit | MORE } else { digit }));
            if length == 0 {
                break;
            }
        }
        self.text.push_str(text);
    }

    /// The slot of the table that holds `text` or is free for it.
    fn slot(&self, text: &str, hash: u32) -> usize {
        let mask = self.table.len().saturating_sub(1);
        let mut slot = hash as usize & mask;
        while let Some(&cell) = self.table.get(slot) {
            if cell == EMPTY || ((cell >> 32) as u32 == hash && self.text(Name(cell as u32)) == text) {
                break;
            }
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        let size = (self.table.len() * 2).max(64);
        let old = std::mem::replace(&mut self.table, vec![EMPTY; size]);
        let mask = size - 1;
        for cell in old.into_iter().filter(|&cell| cell != EMPTY) {
            let mut slot = (cell >> 32) as usize & mask;
            while self.table.get(slot).is_some_and(|&used| used != EMPTY) {
                slot = (slot + 1) & mask;
            }
            if let Some(free) = self.table.get_mut(slot) {
                *free = cell;
            }
        }
    }
}

fn entry(hash: u32, name: u32) -> u64 {
    (u64::from(hash) << 32) | u64::from(name)
}

fn hash(text: &str) -> u32 {
    let mut hasher = FxHasher::default();
    hasher.write(text.as_bytes());
    let value = hasher.finish();
    (value ^ (value >> 32)) as u32
}

#[cfg(test)]
mod tests {
    use super::Names;

    #[test]
    fn equal_texts_share_a_name_and_come_back_as_written() {
        let mut names = Names::new();
        let texts: Vec<String> = (0..1_000).map(|n| format!("{:02}", n % 500)).collect();
        let first: Vec<_> = texts.iter().map(|text| names.intern(text)).collect();
        for (text, name) in texts.iter().zip(&first) {
            assert_eq!(names.text(*name), text);
            assert_eq!(names.find(text), Some(*name));
        }
        assert_eq!(first[3], first[503]);
        assert_eq!(names.find("no such text"), None);
        let empty = names.intern("");
        assert_eq!(names.text(empty), "");
        // Lengths on both sides of each further digit, and a store that has grown many times.
        for length in [1, 63, 64, 65, 4_095, 4_096, 262_143, 262_144, 1 << 20] {
            let text = "x".repeat(length);
            let name = names.intern(&text);
            assert_eq!((names.text(name), names.find(&text)), (text.as_str(), Some(name)));
        }
        assert_eq!(names.find("03"), Some(first[3]));
    }
}
