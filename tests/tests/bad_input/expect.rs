//! One faulty netlist and what must be said of it.

use harness_core::{Checker, MemoryFiles, Report, check};

/// A finding as it is expected.
pub struct Told {
    /// `file:line:column`; the file may be left out where it is `design.yaml`.
    pub at: &'static str,
    /// The rule.
    pub rule: &'static str,
    /// A part of the headline.
    pub headline: &'static str,
    /// A part of the help.
    pub help: &'static str,
    /// Where the other party is, if one must be shown.
    pub other: Option<&'static str>,
}

/// A finding with all but the other party.
pub const fn told(at: &'static str, rule: &'static str, headline: &'static str, help: &'static str) -> Told {
    Told { at, rule, headline, help, other: None }
}

impl Told {
    /// The other party's place.
    pub const fn with(self, other: &'static str) -> Self {
        Self { other: Some(other), ..self }
    }
}

/// Checks that reading `bytes` gives the findings of `told` and no other finding of reading.
#[track_caller]
pub fn reads(bytes: impl Into<Vec<u8>>, told: &[Told]) {
    let report = check(&MemoryFiles::one("design.yaml", bytes), "design.yaml", &Checker::new());
    gives(&report, told);
}

/// Checks a report.
#[track_caller]
pub fn gives(report: &Report, told: &[Told]) {
    let place = |span| report.sources.place(span).trim_start_matches("design.yaml:").to_owned();
    let found: Vec<_> = report.findings.iter().filter(|finding| finding.rule.starts_with("format/")).collect();
    let shown: Vec<String> = found
        .iter()
        .map(|finding| {
            let others: Vec<String> = finding.labels.iter().map(|label| place(label.span)).collect();
            format!("{} {} | {} | {} | {others:?}", place(finding.primary.span), finding.rule, finding.headline, finding.help)
        })
        .collect();
    let shown = shown.join("\n");
    assert_eq!(found.len(), told.len(), "\n{shown}");
    for (finding, told) in found.iter().zip(told) {
        assert_eq!((place(finding.primary.span).as_str(), finding.rule), (told.at, told.rule), "\n{shown}");
        assert!(finding.headline.contains(told.headline), "headline without `{}`\n{shown}", told.headline);
        assert!(finding.help.contains(told.help), "help without `{}`\n{shown}", told.help);
        if let Some(other) = told.other {
            assert!(finding.labels.iter().any(|label| place(label.span) == other), "no label at {other}\n{shown}");
        }
    }
}
