//! Findings that fail no check, because a waiver accepts them or a baseline knew them: listed briefly, never hidden.

use crate::phrase;
use crate::{
    render::{
        Checked,
        kit::{
            palette::{self, paint},
            printable, wrap,
        },
    },
    terminal::Look,
};
use harness_core::finding::{Judged, Level, Waived};
use std::io::{self, Write};

/// Whether `full` draws the finding in full: what is new, and every danger that nobody accepted.
#[must_use]
pub fn is_drawn(finding: &Judged) -> bool {
    finding.waived.is_none() && (!finding.known || finding.level == Level::Danger)
}

/// Lists what [`is_drawn`] leaves out: first what the baseline knew, then what was accepted, each with its reason.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let rest = || checked.report.findings.iter().filter(|finding| !is_drawn(finding));
    section("known from the baseline:", rest().filter(|finding| finding.waived.is_none()), checked, look, out)?;
    section("waived:", rest().filter(|finding| finding.waived.is_some()), checked, look, out)
}

fn section<'a>(
    title: &str,
    findings: impl Iterator<Item = &'a Judged>,
    checked: &Checked,
    look: Look,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut findings = findings.peekable();
    if findings.peek().is_none() {
        return Ok(());
    }
    writeln!(out, "{}", paint(look, palette::heading(), title))?;
    for finding in findings {
        line(checked, finding, look, out)?;
    }
    writeln!(out)
}

/// Level, rule and headline; below them the place and why the finding is accepted.
fn line(checked: &Checked, finding: &Judged, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let level = finding.level.name();
    let said = format!("{level}[{}]: {}", finding.rule, printable(&finding.headline));
    for (index, part) in wrap(&said, look.width.saturating_sub(4)).iter().enumerate() {
        match (index, part.strip_prefix(level)) {
            (0, Some(rest)) => writeln!(out, "  {}{rest}", paint(look, palette::level(finding.level), level))?,
            (0, None) => writeln!(out, "  {part}")?,
            _ => writeln!(out, "    {part}")?,
        }
    }
    let place = checked.place(finding.primary.span);
    let why = finding.waived.as_ref().map_or_else(|| place.clone(), |waived| format!("{place}; {}", reason(waived)));
    for part in wrap(&why, look.width.saturating_sub(4)) {
        writeln!(out, "    {part}")?;
    }
    Ok(())
}

/// Why a finding is accepted, by whom and until when.
#[must_use]
pub fn reason(waived: &Waived) -> String {
    let mut words = printable(&waived.reason).into_owned();
    if let Some(by) = &waived.by {
        words.push_str(&format!("; by {}", printable(by)));
    }
    if let Some(until) = waived.until {
        words.push_str(&format!("; until {until}"));
    }

    words
}

/// How many findings are waived, how many known, and how many of those are dangers, in words; nothing if there are none.
#[must_use]
pub fn counted<'a>(findings: impl Iterator<Item = &'a Judged> + Clone) -> Vec<String> {
    let dangers = |of: &[&Judged]| match of.iter().filter(|finding| finding.level == Level::Danger).count() {
        0 => String::new(),
        some => format!(" ({})", phrase::counted(some, "danger")),
    };
    let known: Vec<&Judged> = findings.clone().filter(|finding| finding.known).collect();
    let waived: Vec<&Judged> = findings.filter(|finding| finding.waived.is_some()).collect();
    let of = |some: &[&Judged], word: &str| format!("{} {word}{}", some.len(), dangers(some));
    [(known, "known"), (waived, "waived")]
        .iter()
        .filter(|(some, _)| !some.is_empty())
        .map(|(some, word)| of(some, word))
        .collect()
}

/// What the baseline knew and the check did not find, in words; empty if there is nothing to say.
#[must_use]
pub fn compared(checked: &Checked) -> String {
    let Some(compared) = checked.report.compared else { return String::new() };
    if !compared.listed {
        return "it does not name this design, so every finding counts as new; write it again with `harness baseline`".to_owned();
    }
    let mut parts = Vec::new();
    if compared.worse > 0 {
        let are = phrase::count(compared.worse, "finding is", "findings are");
        let as_new = if compared.worse == 1 { "counts" } else { "count" };
        parts.push(format!("{are} more severe than it says, and {as_new} as new"));
    }
    if compared.gone > 0 {
        let are = phrase::count(compared.gone, "of its finding is", "of its findings are");
        parts.push(format!("{are} gone: write it again with `harness baseline`"));
    }
    parts.join("; ")
}
