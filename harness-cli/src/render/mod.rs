//! What was found made visible: a folder a command, a file an output format, and the kit that they share.

pub mod check;
pub mod diff;
pub mod kit;
pub mod loads;
pub mod merge;
pub mod rework;
#[cfg(test)]
mod schemas;
pub mod trace;

use harness_core::{
    Report,
    finding::Level,
    source::{FileId, Span},
};
use kit::printable;

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
    /// What the design calls itself; its file if it has no name.
    #[must_use]
    pub fn called(&self) -> &str {
        match self.report.summary.design.as_str() {
            "" => &self.root,
            name => name,
        }
    }

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
