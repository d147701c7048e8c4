//! A text taken apart at its commas, each piece with its place.

use crate::{
    format::Attribute,
    text::{FileId, Span},
};
use std::borrow::Cow;

/// What is between two commas, without the blanks around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Piece<'t> {
    /// The piece as written.
    pub(crate) text: &'t str,
    /// The byte of the file at which it begins.
    pub(crate) at: u32,
}

impl<'t> Piece<'t> {
    pub(super) fn span(&self, file: FileId) -> Span {
        Span::new(file, self.at, self.at + self.text.len() as u32)
    }

    /// What is from one byte of it to another, without the blanks around it.
    pub(super) fn within(&self, from: usize, to: usize) -> Self {
        let text = self.text.get(from..to).unwrap_or_default();
        let blank = text.len() - text.trim_start().len();
        Piece { text: text.trim(), at: self.at + (from + blank) as u32 }
    }

    /// What is behind its first bytes.
    pub(super) fn behind(&self, from: usize) -> Self {
        self.within(from, self.text.len())
    }

    /// The text without the ends of lines in it: a plain text goes on over several lines.
    pub(super) fn joined(&self) -> Cow<'t, str> {
        if self.text.contains(['\n', '\r']) {
            return Cow::Owned(self.text.split_whitespace().collect::<Vec<_>>().join(" "));
        }
        Cow::Borrowed(self.text)
    }
}

/// What is written inside the quotes of a text, and the byte at which it begins; `None` where bytes of one are not bytes of the other.
pub(super) fn inside(written: &str, plain: bool) -> Option<(usize, &str)> {
    if plain {
        return Some((0, written));
    }
    let inner = |quote: char| written.strip_prefix(quote)?.strip_suffix(quote);
    if let Some(inner) = inner('"') {
        return (!inner.contains('\\')).then_some((1, inner));
    }
    let inner = inner('\'').filter(|inner| !inner.contains('\''));
    inner.map(|inner| (1, inner))
}

/// The pieces of a text that begins at a byte of its file. A comma between the square brackets of a list parts nothing.
pub(crate) fn pieces(text: &str, at: u32) -> Vec<Piece<'_>> {
    let whole = Piece { text, at };
    let mut pieces = Vec::new();
    let (mut from, mut depth) = (0, 0_u8);
    for (place, letter) in text.char_indices() {
        match letter {
            '[' if opens_list(text, from, place) => depth = 1,
            ']' => depth = 0,
            ',' if depth == 0 => {
                pieces.push(whole.within(from, place));
                from = place + 1;
            }
            _ => {}
        }
    }
    pieces.push(whole.behind(from));
    pieces
}

/// Whether a bracket opens a list that is closed again: brackets are not written in words, and what is meant is known.
fn opens_list(text: &str, from: usize, place: usize) -> bool {
    let key = text.get(from..place).unwrap_or_default().trim().trim_end_matches([':', '=']).trim_end();
    let is_list = [Attribute::Via, Attribute::Unsure].iter().any(|list| list.word() == key);
    is_list && text.get(place..).is_some_and(|rest| rest.contains(']'))
}

#[cfg(test)]
mod tests {
    use super::{inside, pieces};

    #[test]
    fn each_piece_has_its_place() {
        let text = "P1.2 to P3.4,0.75 mm², via [A, B],  RD ";
        let found: Vec<(&str, u32)> = pieces(text, 10).iter().map(|piece| (piece.text, piece.at)).collect();
        assert_eq!(found, [("P1.2 to P3.4", 10), ("0.75 mm²", 23), ("via [A, B]", 34), ("RD", 47)]);
        for (piece, at) in found {
            assert_eq!(text.get(at as usize - 10..).map(|rest| rest.starts_with(piece)), Some(true), "{piece}");
        }
        assert_eq!(pieces("", 3).len(), 1);
        assert_eq!(pieces("a,", 0).len(), 2);
    }

    #[test]
    fn quotes_are_taken_off_and_escapes_refused() {
        assert_eq!(inside("a to b", true), Some((0, "a to b")));
        assert_eq!(inside("\"a to b\"", false), Some((1, "a to b")));
        assert_eq!(inside("'a to b'", false), Some((1, "a to b")));
        assert_eq!(inside("\"a\\tto b\"", false), None);
        assert_eq!(inside("'a''s'", false), None);
        assert_eq!(inside("|\n  a to b", false), None);
    }
}
