//! What was found made visible: a folder a command, a file an output format, and the kit that they share.

pub mod check;
pub mod diff;
pub(crate) mod export;
pub mod import;
pub mod kit;
pub mod live;
pub mod loads;
pub mod merge;
pub mod papers;
pub mod pictures;
pub(crate) mod review;
pub mod rework;
#[cfg(test)]
mod schemas;
pub mod swaps;
pub mod trace;
pub mod whatif;

use harness_core::{
    Cause, ListRow, Origins, Report,
    finding::{Judged, Level},
    source::{FileId, Span},
};
use kit::printable;
use std::sync::OnceLock;

/// A checked design, as the user named it.
#[derive(Debug)]
pub struct Checked {
    /// The folder of the design as given on the command line, with a final `/`; empty for the working directory.
    pub prefix: String,
    /// The file the design starts in, below `prefix`; `-` is standard input.
    pub root: String,
    /// What the check gave.
    pub report: Report,
    /// Findings that the user asked not to see; they are counted and fail the check as the others do.
    pub hidden: Vec<Judged>,
    /// The rows of the lists that its files were made from; looked up when the first is shown.
    origins: OnceLock<Origins>,
}

/// One entry of a report: a finding, with the others of its cause.
#[derive(Debug)]
pub struct Entry<'a> {
    /// The finding that is shown.
    pub lead: &'a Judged,
    /// The others of its cause that are shown with it.
    pub others: Vec<&'a Judged>,
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
    /// A checked design of which nothing is hidden.
    #[must_use]
    pub fn new(prefix: String, root: String, report: Report) -> Self {
        Self { prefix, root, report, hidden: Vec::new(), origins: OnceLock::new() }
    }

    /// Hides the findings that `keep` refuses.
    pub fn filter(&mut self, keep: impl Fn(&Judged) -> bool) {
        let findings = std::mem::take(&mut self.report.findings);
        let mut causes = std::mem::take(&mut self.report.causes).into_iter().peekable();
        let mut kept: Vec<Cause> = Vec::new();
        for (at, finding) in findings.into_iter().enumerate() {
            let starts = causes.next_if(|cause| cause.findings.start == at);
            if let Some(cause) = starts {
                let here = self.report.findings.len();
                kept.push(Cause { findings: here..here, ..cause });
            }
            if !keep(&finding) {
                self.hidden.push(finding);
                continue;
            }
            self.report.findings.push(finding);
            if let Some(cause) = kept.last_mut() {
                cause.findings.end = self.report.findings.len();
            }
        }
        kept.retain(|cause| !cause.findings.is_empty());
        self.report.causes = kept;
    }

    /// The findings that `pick` chooses, in the order of the report: one entry a cause, without what is held back; with `all`, one entry a
    /// finding, and nothing is held back.
    pub fn entries(&self, all: bool, pick: impl Fn(&Judged) -> bool) -> Vec<Entry<'_>> {
        let findings = &self.report.findings;
        if all || self.report.causes.is_empty() {
            return findings.iter().filter(|finding| pick(finding)).map(|lead| Entry { lead, others: Vec::new() }).collect();
        }
        let shown = self.report.causes.iter().filter(|cause| !cause.held_back);
        let entry = |cause: &Cause| {
            let mut members = findings.get(cause.findings.clone()).unwrap_or_default().iter().filter(|finding| pick(finding));
            Some(Entry { lead: members.next()?, others: members.collect() })
        };
        shown.filter_map(entry).collect()
    }

    /// The findings that may only follow from a reading mistake.
    pub fn held_back(&self) -> impl Iterator<Item = &Judged> {
        let held = self.report.causes.iter().filter(|cause| cause.held_back);
        held.flat_map(|cause| self.report.findings.get(cause.findings.clone()).unwrap_or_default())
    }

    /// The number of the cause of a finding, from 1, and whether it may only follow from a reading mistake. A finding without a cause has
    /// the number of its place.
    #[must_use]
    pub fn cause_of(&self, at: usize) -> (usize, bool) {
        let number = self.report.causes.partition_point(|cause| cause.findings.start <= at);
        let cause = number.checked_sub(1).and_then(|cause| self.report.causes.get(cause));
        cause.map_or((at + 1, false), |cause| (number, cause.held_back))
    }

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

    /// The path of the file that `span` is in, as on the command line and letter for letter; the design's own file if it is in
    /// none, `None` for standard input.
    #[must_use]
    pub fn raw_name(&self, span: Span) -> Option<String> {
        let name = self.report.sources.file(span.file).map_or(self.root.as_str(), |file| file.name());
        (name != "-").then(|| format!("{}{name}", self.prefix))
    }

    /// The file of a span and the line on which it starts.
    #[must_use]
    pub fn line(&self, span: Span) -> (String, usize) {
        match self.report.sources.file(span.file) {
            Some(file) => (self.shown(file.name()), file.line_column(span.start).0),
            None => (self.shown(&self.root), 1),
        }
    }

    /// The row of the list that the thing at `span` was made from; `None` if it was not made from one.
    #[must_use]
    pub fn row(&self, span: Span) -> Option<&ListRow> {
        self.origins.get_or_init(|| Origins::new(&self.report.sources)).of(span)
    }

    /// The rows of the places that a finding shows, each once, that of its own place first.
    #[must_use]
    pub fn rows(&self, finding: &Judged) -> Vec<&ListRow> {
        let mut rows = Vec::new();
        for label in std::iter::once(&finding.primary).chain(&finding.labels) {
            if let Some(row) = self.row(label.span).filter(|row| !rows.contains(row)) {
                rows.push(row);
            }
        }
        rows
    }

    /// `file:line:column` of the start of `span`; the design's own file if the span is in none.
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
