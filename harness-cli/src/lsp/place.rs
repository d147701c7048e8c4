//! Bytes of a text and places as the protocol counts them: lines from 0, then bytes or units of UTF-16.

use lsp_types::{Position, PositionEncodingKind, Range};

/// In what a client counts within a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// Units of UTF-16: a character beyond U+FFFF takes two.
    #[default]
    Utf16,
}

impl Encoding {
    /// The first that the client offers and the server knows; what every client knows if it offers none.
    #[must_use]
    pub fn agreed(offered: Option<&[PositionEncodingKind]>) -> Self {
        let known = |kind: &PositionEncodingKind| match kind.as_str() {
            "utf-8" => Some(Self::Utf8),
            "utf-16" => Some(Self::Utf16),
            _ => None,
        };
        offered.unwrap_or_default().iter().find_map(known).unwrap_or_default()
    }

    /// Its name in the protocol.
    #[must_use]
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Self::Utf8 => PositionEncodingKind::UTF8,
            Self::Utf16 => PositionEncodingKind::UTF16,
        }
    }

    fn units(self, text: &str) -> u32 {
        match self {
            Self::Utf8 => text.len() as u32,
            Self::Utf16 if text.is_ascii() => text.len() as u32,
            Self::Utf16 => text.chars().map(|letter| letter.len_utf16() as u32).sum(),
        }
    }
}

/// Where the lines of a text begin. A line ends with a line feed, a carriage return, or both.
#[derive(Debug, Clone)]
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<u32>,
    encoding: Encoding,
}

impl<'t> Lines<'t> {
    /// The lines of `text`.
    #[must_use]
    pub fn new(text: &'t str, encoding: Encoding) -> Self {
        let bytes = text.as_bytes();
        let mut starts = vec![0];
        for (at, byte) in bytes.iter().enumerate() {
            if *byte == b'\n' || (*byte == b'\r' && bytes.get(at + 1) != Some(&b'\n')) {
                starts.push(at as u32 + 1);
            }
        }
        Self { text, starts, encoding }
    }

    /// The line `line` without its break, and where it begins.
    fn line(&self, line: usize) -> (usize, &'t str) {
        let start = self.starts.get(line).map_or(self.text.len(), |start| *start as usize);
        let end = self.starts.get(line + 1).map_or(self.text.len(), |end| *end as usize);
        (start, self.text.get(start..end).unwrap_or("").trim_end_matches(['\n', '\r']))
    }

    /// The place of a byte; of one within a character the start of that character.
    #[must_use]
    pub fn position(&self, byte: usize) -> Position {
        let byte = (0..=byte.min(self.text.len())).rev().find(|at| self.text.is_char_boundary(*at)).unwrap_or(0);
        let line = self.starts.partition_point(|start| *start as usize <= byte).saturating_sub(1);
        let (start, text) = self.line(line);
        let before = text.get(..byte.saturating_sub(start).min(text.len())).unwrap_or("");
        Position { line: line as u32, character: self.encoding.units(before) }
    }

    /// The byte at a place; one behind a line is its end, one within a character the start of that.
    #[must_use]
    pub fn byte(&self, position: Position) -> usize {
        let (start, text) = self.line(position.line as usize);
        let mut left = position.character;
        for (at, letter) in text.char_indices() {
            let units = match self.encoding {
                Encoding::Utf8 => letter.len_utf8() as u32,
                Encoding::Utf16 => letter.len_utf16() as u32,
            };
            if left < units {
                return start + at;
            }
            left -= units;
        }
        start + text.len()
    }

    /// The range of two bytes.
    #[must_use]
    pub fn range(&self, start: usize, end: usize) -> Range {
        Range { start: self.position(start), end: self.position(end.max(start)) }
    }

    /// The range of the whole text.
    #[must_use]
    pub fn whole(&self) -> Range {
        self.range(0, self.text.len())
    }
}

#[cfg(test)]
mod tests {
    use super::{Encoding, Lines};
    use lsp_types::{Position, PositionEncodingKind};
    use proptest::prelude::*;

    #[test]
    fn places_are_counted_as_the_protocol_counts_them() {
        // From the specification of the protocol, version 3.17, "Position": in `a𐐀b` the character `b` is at 3 in UTF-16, 5 in UTF-8.
        let text = "a\u{10400}b";
        let at = |encoding| Lines::new(text, encoding).position(5).character;
        assert_eq!((at(Encoding::Utf16), at(Encoding::Utf8)), (3, 5));
        // There too, "Text Documents": lines end with `\n`, `\r\n` or `\r`.
        let lines = Lines::new("a\r\nb\rc\nd", Encoding::Utf16);
        let begins: Vec<u32> = [0, 3, 5, 7].iter().map(|byte| lines.position(*byte).line).collect();
        assert_eq!(begins, [0, 1, 2, 3]);
        // "If the character value is greater than the line length it defaults back to the line length."
        assert_eq!(lines.byte(Position::new(0, 9)), 1);
        assert_eq!(lines.byte(Position::new(9, 0)), 8);
        assert_eq!(Lines::new(text, Encoding::Utf16).byte(Position::new(0, 2)), 1, "within a pair");
    }

    #[test]
    fn the_first_that_both_know_is_agreed_on() {
        let offered = [PositionEncodingKind::UTF32, PositionEncodingKind::UTF8, PositionEncodingKind::UTF16];
        assert_eq!(Encoding::agreed(Some(&offered)), Encoding::Utf8);
        assert_eq!(Encoding::agreed(Some(&offered[..1])), Encoding::Utf16);
        assert_eq!(Encoding::agreed(None), Encoding::Utf16);
    }

    proptest! {
        #[test]
        fn there_and_back(text in "([a-c]|ä|\u{1f600}|\u{feff}|\r|\n|\r\n){0,30}") {
            for encoding in [Encoding::Utf8, Encoding::Utf16] {
                let lines = Lines::new(&text, encoding);
                for (at, letter) in text.char_indices() {
                    let byte = lines.byte(lines.position(at));
                    // Between the two bytes of a line break is the end of the line.
                    let is_within_break = letter == '\n' && text[..at].ends_with('\r');
                    prop_assert_eq!(byte, if is_within_break { at - 1 } else { at });
                }
                prop_assert_eq!(lines.byte(lines.position(text.len())), text.len());
            }
        }
    }
}
