//! The exit codes, and what fails a check: decided in one place, for the program and for every format.

use crate::render::Checked;
use harness_core::{
    Report,
    finding::{Judged, Level},
};

/// Nothing was found at or above the fail level (`--fail-on`).
pub const CLEAN: u8 = 0;

/// Something was found at or above the fail level.
pub const FINDINGS: u8 = 1;

/// The job could not be done: the arguments, a file that can't be read, a mode or rule that does not exist.
/// Outranks [`FINDINGS`], because what was not read may hold worse.
pub const FAILED: u8 = 2;

/// Whether `finding` fails a check that fails from `fail_on` up: it is severe enough, nobody has accepted it, and
/// it is not known from a baseline.
#[must_use]
pub fn counts(finding: &Judged, fail_on: Level) -> bool {
    finding.counts() && finding.level >= fail_on
}

/// Whether a rule broke off: what it would have found is missing, so the job was not done.
#[must_use]
pub fn is_broken(report: &Report) -> bool {
    !report.broken_rules.is_empty()
}

/// The exit code for what was found.
#[must_use]
pub fn code(designs: &[Checked], fail_on: Level) -> u8 {
    let mut findings = designs.iter().flat_map(|checked| &checked.report.findings);
    if findings.any(|finding| counts(finding, fail_on)) { FINDINGS } else { CLEAN }
}

#[cfg(test)]
mod tests {
    use super::{CLEAN, FINDINGS, code, is_broken};
    use crate::render::Checked;
    use harness_core::{
        Report,
        finding::{Finding, Judged, Level, Waived},
        source::Span,
    };

    fn checked(findings: Vec<Judged>) -> Checked {
        let report = Report { findings, ..Report::default() };
        Checked::new(String::new(), "a.yaml".to_owned(), report)
    }

    fn finding(level: Level) -> Judged {
        Judged::from(Finding::new("group/fault", level, Span::default(), "headline"))
    }

    #[test]
    fn findings_fail_the_check_from_the_level_asked_for() {
        for found in Level::ALL {
            for fail_on in Level::ALL {
                let expected = if found >= fail_on { FINDINGS } else { CLEAN };
                assert_eq!(code(&[checked(vec![]), checked(vec![finding(found)])], fail_on), expected, "{found} {fail_on}");
            }
        }
        assert_eq!(code(&[checked(vec![])], Level::Note), CLEAN);
    }

    #[test]
    fn a_report_with_a_broken_rule_is_not_whole() {
        assert!(!is_broken(&Report::default()));
        assert!(is_broken(&Report { broken_rules: vec!["netlist/no-source"], ..Report::default() }));
    }

    #[test]
    fn what_was_accepted_fails_no_check() {
        let waived = Waived { reason: "reviewed".to_owned(), by: None, until: None, reviewed: None, span: Span::default() };
        let accepted = Judged { waived: Some(waived), ..finding(Level::Danger) };
        assert_eq!(code(&[checked(vec![accepted.clone()])], Level::Note), CLEAN);
        assert_eq!(code(&[checked(vec![accepted, finding(Level::Note)])], Level::Note), FINDINGS);
    }
}
