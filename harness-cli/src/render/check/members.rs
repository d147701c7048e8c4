//! The other findings of a cause, below the one that is drawn: every one is named.

use crate::{
    phrase::{agree, counted},
    render::{
        Checked, Entry,
        kit::{
            blocks::{flow, pairs},
            commandless, printable,
        },
    },
    terminal::Look,
};
use harness_core::finding::Judged;
use std::io::{self, Write};

/// Writes what else the cause of an entry concerns: names in one list where all say the same, else a line for each.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, entry: &Entry<'_>, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let (follow, alike): (Vec<&Judged>, Vec<&Judged>) =
        entry.others.iter().partition(|other| other.follows && !entry.lead.follows);
    if !follow.is_empty() {
        let many = counted(follow.len(), "finding");
        let (verb, gone) = (agree(follow.len(), "follows", "follow"), agree(follow.len(), "it was", "all were"));
        pairs(&[("also", &format!("{many} {verb} from it: {gone} gone when it was put right in a trial"))], look, out)?;
        list(checked, &follow, look, out)?;
    }
    if alike.is_empty() {
        return Ok(());
    }
    let more = counted(alike.len(), "more finding");
    if alike.iter().all(|other| says_the_same(entry.lead, other)) {
        let names = format!("{} ({more} of the same cause)", names(checked, entry).join(", "));
        return pairs(&[("also", &names)], look, out);
    }
    pairs(&[("also", &format!("{more} of the same cause, one place to look at for all:"))], look, out)?;
    list(checked, &alike, look, out)
}

/// A line for each finding.
fn list(checked: &Checked, findings: &[&Judged], look: Look, out: &mut dyn Write) -> io::Result<()> {
    for other in findings {
        let row = checked.row(other.primary.span).map_or_else(String::new, |row| format!(" ({})", printable(&row.to_string())));
        let place = checked.place(other.primary.span);
        let line = format!("{place}{row}: {}[{}]: {}", other.level, other.rule, printable(&other.headline));
        flow("    ", "      ", &commandless(line), look, out)?;
    }
    Ok(())
}

/// What the other findings of an entry concern: their names, and the lines of those that have none.
pub fn names(checked: &Checked, entry: &Entry<'_>) -> Vec<String> {
    let (mut names, mut unnamed) = (Vec::new(), Vec::new());
    for other in &entry.others {
        let own = own_names(entry.lead, other);
        match own.is_empty() {
            true => unnamed.push(*other),
            false => names.push(own.join(" with ")),
        }
    }
    names.extend(lines(checked, &unnamed));
    names
}

/// The names of a finding that the one before it does not have: of what it concerns, else of its headline.
fn own_names(lead: &Judged, other: &Judged) -> Vec<String> {
    let concerned: Vec<String> =
        other.concerns.iter().filter(|name| !lead.concerns.contains(name)).map(|name| format!("`{name}`")).collect();
    if !concerned.is_empty() {
        return concerned;
    }
    let quoted = |finding: &Judged| finding.headline.split('`').skip(1).step_by(2).map(str::to_owned).collect::<Vec<_>>();
    let known = quoted(lead);
    quoted(other).into_iter().filter(|name| !known.contains(name)).map(|name| format!("`{name}`")).collect()
}

/// The lines of findings, neighbours together: `cart.yaml:16-36, 64`.
fn lines(checked: &Checked, findings: &[&Judged]) -> Vec<String> {
    let mut runs: Vec<(String, usize, usize)> = Vec::new();
    for finding in findings {
        let (file, line) = checked.line(finding.primary.span);
        match runs.last_mut() {
            Some((same, _, last)) if *same == file && (*last == line || *last + 1 == line) => *last = line,
            _ => runs.push((file, line, line)),
        }
    }
    let mut shown = "";
    let mut all = Vec::new();
    for (file, from, to) in &runs {
        let before = if shown == file { String::new() } else { format!("{file}:") };
        all.push(if from == to { format!("{before}{from}") } else { format!("{before}{from}-{to}") });
        shown = file;
    }
    all
}

/// Whether two headlines differ in the names between backticks only.
fn says_the_same(one: &Judged, other: &Judged) -> bool {
    let outside = |finding: &Judged| finding.headline.split('`').step_by(2).map(str::to_owned).collect::<Vec<_>>();
    one.rule == other.rule && outside(one) == outside(other)
}
