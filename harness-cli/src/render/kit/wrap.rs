//! Running text broken into lines.

use super::commandless;
use textwrap::{Options, WordSeparator, WordSplitter};

/// `text` in lines of at most `width` columns, broken at blanks only, and not between a number and its unit: an id or a
/// quantity stays in one piece.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let options = Options::new(width.max(1)).word_separator(WordSeparator::AsciiSpace).word_splitter(WordSplitter::NoHyphenation);
    textwrap::wrap(&glued(text), options).iter().map(|line| commandless(unglued(line))).collect()
}

/// What holds a number and its unit together while lines are broken.
const GLUE: char = '\u{a0}';

/// Longer words behind a number are not units.
const LONGEST_UNIT: usize = 4;

/// `text` with the blanks between numbers and their units made unbreakable.
pub(crate) fn glued(text: &str) -> String {
    let mut glued = String::with_capacity(text.len());
    let mut after_number = false;
    for (index, word) in text.split(' ').enumerate() {
        let letters = word.trim_end_matches([',', ';', ':', '.', ')']);
        let unit =
            letters.chars().count() <= LONGEST_UNIT && letters.starts_with(|ch: char| ch.is_alphabetic() || "%°".contains(ch));
        if index > 0 {
            glued.push(if after_number && unit { GLUE } else { ' ' });
        }
        glued.push_str(word);
        after_number = word.ends_with(|ch: char| ch.is_ascii_digit());
    }
    glued
}

/// Undoes [`glued`].
pub(crate) fn unglued(text: &str) -> String {
    text.replace(GLUE, " ")
}

#[cfg(test)]
mod tests {
    use super::wrap;

    #[test]
    fn a_quantity_is_not_broken() {
        assert_eq!(wrap("fuse passes 30 A, 17.3 A more", 22), ["fuse passes 30 A,", "17.3 A more"]);
        assert_eq!(wrap("it takes 2 conductors", 10), ["it takes 2", "conductors"]);
    }

    #[test]
    fn no_line_that_is_broken_out_of_a_word_is_a_command() {
        assert_eq!(wrap("aaaaaaaaaa::error::b", 10), ["aaaaaaaaaa", "<U+003A>:error::b"]);
    }
}
