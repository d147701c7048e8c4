//! The end of a report: what was checked, what was found, and what a clean result does not mean.

use super::reviewed;
use crate::phrase::counted;
use crate::{
    render::{
        Checked, Untouched,
        kit::{
            blocks::pairs,
            palette::{self, paint},
            printable, wrap,
        },
    },
    terminal::Look,
};
use harness_core::{Summary, finding::Level};
use std::io::{self, Write};

/// What every report ends with.
///
/// The limits of voltage class B (above 60 V DC or 30 V AC r.m.s.) are those of ISO 6469-3; the steps before work are
/// the usual ones of the trade.
pub const CAUTION: [&str; 3] = [
    "A clean result is no safety certificate: it covers what the design says and the rules can see, nothing else.",
    "Work on voltage class B (above 60 V DC or 30 V AC) is for trained people: disconnect out, locked against \
     reconnection, absence of voltage proven before touching.",
    "Local codes and licensed practice decide.",
];

/// How many findings have each level, the most severe first; those that are waived or known are not among them.
#[must_use]
pub fn counts(checked: &Checked) -> [(Level, usize); 4] {
    Level::ALL
        .map(|level| (level, checked.report.findings.iter().filter(|finding| finding.counts() && finding.level == level).count()))
}

/// Writes what was checked in one design and what was found.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let summary = &checked.report.summary;
    let title = format!("checked {}", checked.shown(&checked.root));
    writeln!(out, "{}", paint(look, palette::heading(), &title))?;
    let design = design(summary);
    let contents = contents(summary);
    let modes = modes(summary);
    let hottest = hottest(summary);
    let found = found(checked);
    let baseline = reviewed::compared(checked);
    let unchecked = unchecked(summary);
    let untried = match checked.report.untried {
        0 => String::new(),
        some => format!("remedies of {}: a run makes only so many trials", counted(some, "finding")),
    };
    let rows = [
        ("design", design.as_str()),
        ("contents", &contents),
        ("modes", &modes),
        ("hottest", &hottest),
        ("found", &found),
        ("baseline", &baseline),
        ("not checked", &unchecked),
        ("given, not checked", &unread(summary)),
        ("not tried", &untried),
    ];
    pairs(&rows.into_iter().filter(|(_, value)| !value.is_empty()).collect::<Vec<_>>(), look, out)
}

/// Writes which designs were left out because they did not change, all in one line; `all` says that nothing else was checked.
///
/// # Errors
/// If `out` can't be written.
pub fn untouched(untouched: &Untouched, all: bool, out: &mut dyn Write) -> io::Result<()> {
    let before = if all { "nothing to check: " } else { "" };
    writeln!(out, "{before}{}\n", untouched.sentence())
}

/// Writes the caution in a line, for logs.
///
/// # Errors
/// If `out` can't be written.
pub fn caution_line(out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "caution: {}", CAUTION.first().copied().unwrap_or_default())
}

/// Writes the caution.
///
/// # Errors
/// If `out` can't be written.
pub fn caution(look: Look, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", paint(look, palette::heading(), "caution"))?;
    for line in CAUTION.iter().flat_map(|text| wrap(text, look.width.saturating_sub(2))) {
        writeln!(out, "  {line}")?;
    }
    Ok(())
}

fn design(summary: &Summary) -> String {
    let name = printable(&summary.design);
    let revision = printable(&summary.revision);
    match (name.is_empty(), revision.is_empty()) {
        (_, true) => name.into_owned(),
        (true, false) => format!("revision {revision}"),
        (false, false) => format!("{name}, revision {revision}"),
    }
}

fn contents(summary: &Summary) -> String {
    let parts = [
        counted(summary.files, "file"),
        counted(summary.devices, "device"),
        counted(summary.looms, "loom"),
        counted(summary.ends, "end"),
        counted(summary.conductors, "conductor"),
        counted(summary.nets, "net"),
    ];
    format!("{}; {} run", parts.join(", "), counted(summary.rules, "rule"))
}

fn modes(summary: &Summary) -> String {
    if summary.modes.is_empty() {
        return "none, so no current was computed".to_owned();
    }
    let mode = |mode: &harness_core::ModeSummary| match mode.solved {
        true => format!("{} ({} loaded)", printable(&mode.name), counted(mode.loaded, "conductor")),
        false => format!("{} (not computed)", printable(&mode.name)),
    };
    summary.modes.iter().map(mode).collect::<Vec<_>>().join(", ")
}

/// The conductors nearest to their rating: how hot they get and how hot they may.
fn hottest(summary: &Summary) -> String {
    let one = |hot: &harness_core::HotConductor| {
        let at = hot.temperature.map_or("no limit".to_owned(), |at| format!("{at:.0}"));
        format!("{} ({at} of {:.0} degC in {})", printable(&hot.name), hot.rated, printable(&hot.mode))
    };
    summary.hottest.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// How many findings of each level there are, in words.
pub(super) fn found(checked: &Checked) -> String {
    let found: Vec<String> = counts(checked)
        .into_iter()
        .filter(|(_, number)| *number > 0)
        .map(|(level, number)| counted(number, level.name()))
        .collect();
    let found = if found.is_empty() { "nothing".to_owned() } else { found.join(", ") };
    let reviewed = reviewed::counted(&checked.report.findings);
    match reviewed.is_empty() {
        true => found,
        false if found == "nothing" => format!("nothing else; {}", reviewed.join(", ")),
        false => format!("{found}; {}", reviewed.join(", ")),
    }
}

/// The keys that the design gives and nothing reads yet: `torque (3), peak (2)`, the most frequent first.
fn unread(summary: &Summary) -> String {
    let mut keys = summary.unread.clone();
    keys.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    keys.iter().map(|(key, count)| format!("{key} ({count})")).collect::<Vec<_>>().join(", ")
}

fn unchecked(summary: &Summary) -> String {
    let mut parts = Vec::new();
    if summary.unchecked > 0 {
        let checks = counted(summary.unchecked, "check");
        parts.push(format!("{checks} for want of a fact (`review/missing-fact` names it)"));
    }
    let unsolved: Vec<_> =
        summary.modes.iter().filter(|mode| !mode.solved).map(|mode| printable(&mode.name).into_owned()).collect();
    if !unsolved.is_empty() {
        parts.push(format!("what needs currents in {}", unsolved.join(", ")));
    }
    parts.join("; ")
}
