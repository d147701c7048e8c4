//! Findings made visible: one file an output format.

pub mod curve;
pub mod diff;
mod excerpt;
mod figures_json;
pub mod full;
mod json;
mod line;
pub mod loads;
pub mod markdown;
pub mod palette;
mod printable;
pub mod report_json;
pub mod short;
pub mod summary;
pub mod table;
pub mod trace;
pub mod trace_json;

pub use json::write as json;
pub(crate) use printable::printable;

use harness_core::{
    Report,
    text::{FileId, Span},
};
use textwrap::{Options, WordSeparator, WordSplitter};

/// A checked design, as the user named it.
#[derive(Debug)]
pub struct Checked {
    /// The folder of the design as given on the command line, with a final `/`; empty for the working directory.
    pub prefix: String,
    /// The file the design starts in, below `prefix`; `-` is standard input.
    pub root: String,
    /// What the check gave.
    pub report: Report,
}

impl Checked {
    /// The name to show for the file `name` of the design.
    #[must_use]
    pub fn shown(&self, name: &str) -> String {
        match name {
            "-" => "<standard input>".to_owned(),
            _ => printable(&format!("{}{name}", self.prefix)).into_owned(),
        }
    }

    /// The name to show for a file by its id.
    #[must_use]
    pub fn file_name(&self, file: FileId) -> String {
        self.report.sources.file(file).map_or_else(String::new, |file| self.shown(file.name()))
    }

    /// `file:line:column` of the start of `span`; the design's own file if the span lies in none.
    #[must_use]
    pub fn place(&self, span: Span) -> String {
        match self.report.sources.file(span.file) {
            Some(file) => {
                let (line, column) = file.line_column(span.start);
                format!("{}:{line}:{column}", self.shown(file.name()))
            }
            None => self.shown(&self.root),
        }
    }
}

/// `text` in lines of at most `width` columns, broken at blanks only, and not between a number and its unit: an id or a
/// quantity stays in one piece.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let options = Options::new(width.max(1)).word_separator(WordSeparator::AsciiSpace).word_splitter(WordSplitter::NoHyphenation);
    textwrap::wrap(&glued(text), options).iter().map(|line| unglued(line)).collect()
}

/// What holds a number and its unit together while lines are broken.
const GLUE: char = '\u{a0}';

/// Longer words behind a number are no units.
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
}
