//! Findings made visible: one file an output format.

pub mod curve;
pub mod diff;
mod excerpt;
mod figures_json;
pub mod full;
mod json;
pub mod junit;
mod line;
pub mod loads;
pub mod markdown;
pub mod palette;
mod printable;
pub mod report_json;
pub mod reviewed;
pub mod sarif;
mod sarif_model;
pub mod short;
pub mod summary;
pub mod table;
pub mod trace;
pub mod trace_json;
mod words;
pub mod workflow;

pub use json::write as json;
pub(crate) use printable::printable;

use harness_core::{
    Report,
    finding::Level,
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

/// One run of `harness check`, for the formats that hold all of it in one document.
#[derive(Debug, Clone, Copy)]
pub struct Run<'a> {
    /// The designs that were checked, in the order in which they were named.
    pub designs: &'a [Checked],
    /// The designs that could not be checked.
    pub failures: &'a [Failed],
    /// The designs that were left out because they did not change; `None` if all were asked for.
    pub untouched: Option<&'a Untouched>,
    /// The level from which a finding fails the check.
    pub fail_on: Level,
}

impl Run<'_> {
    /// Whether no design was to be checked.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.designs.is_empty() && self.failures.is_empty()
    }
}

/// A design that could not be checked.
#[derive(Debug, Clone)]
pub struct Failed {
    /// The design as the user named it.
    pub design: String,
    /// Completes "failed to …".
    pub reason: String,
}

/// The designs that did not change since a revision.
#[derive(Debug, Clone)]
pub struct Untouched {
    /// The revision.
    pub revision: String,
    /// The designs as the user named them.
    pub designs: Vec<String>,
}

impl Untouched {
    /// What was left out, in one sentence without a stop.
    #[must_use]
    pub fn sentence(&self) -> String {
        let Self { revision, designs } = self;
        match designs.as_slice() {
            [] => format!("every design was touched since {revision}"),
            [one] => format!("1 design untouched since {revision}, not checked again: {one}"),
            all => format!("{} designs untouched since {revision}, not checked again: {}", all.len(), all.join(", ")),
        }
    }
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

    /// The path of the file that `span` lies in, as on the command line and letter for letter; the design's own file if it lies in
    /// none, `None` for standard input.
    #[must_use]
    pub fn raw_name(&self, span: Span) -> Option<String> {
        let name = self.report.sources.file(span.file).map_or(self.root.as_str(), |file| file.name());
        (name != "-").then(|| format!("{}{name}", self.prefix))
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
