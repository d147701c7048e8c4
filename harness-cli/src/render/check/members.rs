//! The other findings of a cause, below the one that is drawn: every one is named.

use crate::{
    phrase::counted,
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
    if entry.others.is_empty() {
        return Ok(());
    }
    let more = counted(entry.others.len(), "more finding");
    if entry.others.iter().all(|other| says_the_same(entry.lead, other)) {
        let names = format!("{} ({more} of the same cause)", names(checked, entry).join(", "));
        return pairs(&[("also", &names)], look, out);
    }
    pairs(&[("also", &format!("{more} of the same cause, one place to look at for all:"))], look, out)?;
    for other in &entry.others {
        let line =
            format!("{}: {}[{}]: {}", checked.place(other.primary.span), other.level, other.rule, printable(&other.headline));
        flow("    ", "      ", &commandless(line), look, out)?;
    }
    Ok(())
}

/// What the other findings of an entry concern, a name or a place for each.
pub fn names(checked: &Checked, entry: &Entry<'_>) -> Vec<String> {
    let name = |other: &&Judged| {
        let own: Vec<String> =
            other.concerns.iter().filter(|name| !entry.lead.concerns.contains(name)).map(|name| format!("`{name}`")).collect();
        if own.is_empty() { checked.place(other.primary.span) } else { own.join(" with ") }
    };
    entry.others.iter().map(name).collect()
}

/// Whether two headlines differ in the names between backticks only.
fn says_the_same(one: &Judged, other: &Judged) -> bool {
    let outside = |finding: &Judged| finding.headline.split('`').step_by(2).map(str::to_owned).collect::<Vec<_>>();
    one.rule == other.rule && outside(one) == outside(other)
}
