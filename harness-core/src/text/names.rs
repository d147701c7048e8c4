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
/// Texts lie one behind the other in one string; a small open-addressed table finds them again. Reading a name
/// back is one slice, interning is one hash and usually one comparison.
#[derive(Debug, Default, Clone)]
pub struct Names {
    text: String,
    ends: Vec<u32>,
    table: Vec<u32>,
}

const EMPTY: u32 = u32::MAX;

impl Names {
    /// An empty store.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The name of `text`, stored now if it was not known.
    pub fn intern(&mut self, text: &str) -> Name {
        if self.table.len() < (self.ends.len() + 1) * 2 {
            self.grow();
        }
        let slot = self.slot(text);
        match self.table.get(slot) {
            Some(&found) if found != EMPTY => Name(found),
            _ => {
                let id = self.ends.len() as u32;
                self.text.push_str(text);
                self.ends.push(self.text.len() as u32);
                if let Some(cell) = self.table.get_mut(slot) {
                    *cell = id;
                }
                Name(id)
            }
        }
    }

    /// The name of `text` if it is stored.
    #[must_use]
    pub fn find(&self, text: &str) -> Option<Name> {
        if self.table.is_empty() {
            return None;
        }
        self.table.get(self.slot(text)).copied().filter(|&id| id != EMPTY).map(Name)
    }

    /// The text of `name`.
    #[must_use]
    pub fn text(&self, name: Name) -> &str {
        let index = name.0 as usize;
        let start = match index.checked_sub(1) {
            Some(before) => self.ends.get(before).copied().unwrap_or(0),
            None => 0,
        };
        let end = self.ends.get(index).copied().unwrap_or(start);
        self.text.get(start as usize..end as usize).unwrap_or("")
    }

    /// The slot of the table that holds `text` or is free for it.
    fn slot(&self, text: &str) -> usize {
        let mask = self.table.len().saturating_sub(1);
        let mut slot = hash(text) as usize & mask;
        while let Some(&id) = self.table.get(slot) {
            if id == EMPTY || self.text(Name(id)) == text {
                break;
            }
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        let size = (self.table.len() * 2).max(64);
        self.table = vec![EMPTY; size];
        for id in 0..self.ends.len() as u32 {
            let mask = size - 1;
            let mut slot = hash(self.text(Name(id))) as usize & mask;
            while self.table.get(slot).is_some_and(|&used| used != EMPTY) {
                slot = (slot + 1) & mask;
            }
            if let Some(cell) = self.table.get_mut(slot) {
                *cell = id;
            }
        }
    }
}

fn hash(text: &str) -> u64 {
    let mut hasher = FxHasher::default();
    hasher.write(text.as_bytes());
    let value = hasher.finish();
    value ^ (value >> 29)
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
    }
}
