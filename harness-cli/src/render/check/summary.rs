//! The end of a report: what was checked, what was found, and what a clean result does not mean.

use super::reviewed;
use crate::exit;
use crate::phrase::{agree, counted};
use crate::{
    render::{
        Checked, Untouched,
        kit::{
            blocks::pairs,
            palette::{self, paint},
            printable,
        },
    },
    terminal::Look,
};
use harness_core::{
    Summary,
    finding::{Judged, Level},
};
use std::io::{self, Write};

/// All findings of a design, those that are not shown among them.
fn all(checked: &Checked) -> impl Iterator<Item = &Judged> + Clone {
    checked.report.findings.iter().chain(&checked.hidden)
}

/// How many findings have each level, the most severe first; those that are waived or known are not among them, those that are not shown
/// are.
#[must_use]
pub fn counts(checked: &Checked) -> [(Level, usize); 4] {
    Level::ALL.map(|level| (level, all(checked).filter(|finding| finding.counts() && finding.level == level).count()))
}

/// Writes what was checked in one design and what was found; `folds` says whether findings were held back, `fail_on` what fails the check.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, look: Look, (folds, fail_on): (bool, Level), out: &mut dyn Write) -> io::Result<()> {
    let summary = &checked.report.summary;
    let title = format!("checked {}", checked.shown(&checked.root));
    writeln!(out, "{}", paint(look, palette::heading(), &title))?;
    let design = design(summary);
    let contents = contents(summary);
    let modes = modes(summary);
    let hottest = hottest(summary);
    let found = found(checked);
    let baseline = reviewed::compared(checked);
    let judged = judged(summary);
    let unchecked = unchecked(summary);
    let held_back = if folds { held_back(checked, fail_on) } else { String::new() };
    let hidden = hidden(checked, fail_on);
    let untried = match checked.report.untried {
        0 => String::new(),
        some => format!(
            "remedies of {}: the number of trials in one run is limited; fix the others and check again",
            counted(some, "finding")
        ),
    };
    let rows = [
        ("design", design.as_str()),
        ("contents", &contents),
        ("modes", &modes),
        ("hottest", &hottest),
        ("judged", &judged),
        ("found", &found),
        ("held back", &held_back),
        ("hidden", &hidden),
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

/// What may only follow from reading mistakes, in words; empty if there is nothing to say.
fn held_back(checked: &Checked, fail_on: Level) -> String {
    let held: Vec<&Judged> = checked.held_back().collect();
    match held.len() {
        0 => String::new(),
        one => format!(
            "{} that may follow from the reading mistakes{}; `--all` shows {}",
            counted(one, "finding"),
            failing(&held, fail_on),
            agree(one, "it", "them")
        ),
    }
}

/// What the user asked not to see, in words; empty if there is nothing to say.
fn hidden(checked: &Checked, fail_on: Level) -> String {
    let hidden: Vec<&Judged> = checked.hidden.iter().collect();
    match hidden.len() {
        0 => String::new(),
        one => format!("{} by `--level` or `--rule`{}", counted(one, "finding"), failing(&hidden, fail_on)),
    }
}

/// Whether findings that are not shown fail the check.
fn failing(findings: &[&Judged], fail_on: Level) -> String {
    match findings.iter().filter(|finding| exit::counts(finding, fail_on)).count() {
        0 => format!(", which {} not fail the check", agree(findings.len(), "does", "do")),
        all if all == findings.len() => format!(", which still {} the check", agree(all, "fails", "fail")),
        some => format!(", {some} of which still fail the check"),
    }
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

/// How many conductors were judged for load, shorts and drop, and why each of the others was not.
fn judged(summary: &Summary) -> String {
    let all = [("load", &summary.coverage.load), ("shorts", &summary.coverage.shorts), ("voltage drop", &summary.coverage.drop)];
    if summary.conductors == 0 {
        return "no conductors, so nothing for load, shorts or voltage drop".to_owned();
    }
    let numbers: Vec<String> = all.iter().map(|(what, covered)| format!("{} for {what}", covered.judged)).collect();
    let lacking = all.iter().filter_map(|(what, covered)| {
        let reasons: Vec<String> =
            covered.unjudged.iter().map(|(reason, count)| format!("{count} {}", reason.reason())).collect();
        (!reasons.is_empty()).then(|| format!("for {what} not {}", reasons.join(", ")))
    });
    let lacking: Vec<String> = lacking.collect();
    let lacking = if lacking.is_empty() { String::new() } else { format!("; {}", lacking.join("; ")) };
    let assumed = match summary.coverage.insulation_assumed {
        0 => String::new(),
        some => format!("; insulation of {some} not given, PVC taken as the worse material of its rating"),
    };
    let unnamed = match summary.coverage.unnamed_pins {
        0 => String::new(),
        some => format!("; {some} wired pins have no `signal`: swaps among those of one role and domain are not seen"),
    };
    format!("of {}: {}{lacking}{assumed}{unnamed}", counted(summary.conductors, "conductor"), numbers.join(", "))
}

/// How many findings of each level there are, in words.
pub(super) fn found(checked: &Checked) -> String {
    let found: Vec<String> = counts(checked)
        .into_iter()
        .filter(|(_, number)| *number > 0)
        .map(|(level, number)| counted(number, level.name()))
        .collect();
    let found = if found.is_empty() { "nothing".to_owned() } else { found.join(", ") };
    let found = match all(checked).filter(|finding| finding.follows).count() {
        0 => found,
        some => format!("{found}, of them {some} that {} from another", agree(some, "follows", "follow")),
    };
    let reviewed = reviewed::counted(all(checked));
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
        parts.push(format!("{checks} for lack of a fact (`review/missing-fact` names it)"));
    }
    let unsolved: Vec<_> =
        summary.modes.iter().filter(|mode| !mode.solved).map(|mode| printable(&mode.name).into_owned()).collect();
    if !unsolved.is_empty() {
        parts.push(format!("what needs currents in {}", unsolved.join(", ")));
    }
    parts.join("; ")
}
