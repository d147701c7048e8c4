//! One line a finding, for logs and editors.

use super::{members, reviewed::reason};
use crate::{
    render::{
        Checked,
        kit::{
            palette::{self, paint},
            printable, words,
        },
    },
    terminal::Look,
};
use std::io::{self, Write};

/// Figures that say by how much a finding has grown beyond what was accepted.
const GROWN: [&str; 2] = ["since the review", "since the baseline"];

/// Writes `file:line:column: level[rule]: headline; primary label` for every cause, and behind it what else it concerns; with `all` a line
/// for every finding. What is waived or known says so at its end.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, look: Look, all: bool, out: &mut dyn Write) -> io::Result<()> {
    for entry in checked.entries(all, |_| true) {
        let finding = entry.lead;
        let level = paint(look, palette::level(finding.level), finding.level.name());
        let place = checked.place(finding.primary.span);
        write!(out, "{place}: {level}[{}]: {}", finding.rule, printable(&finding.headline))?;
        if !finding.primary.text.is_empty() {
            write!(out, "; {}", printable(&finding.primary.text))?;
        }
        if let Some(rows) = words::row_line(checked, finding) {
            write!(out, "; {rows}")?;
        }
        if !entry.others.is_empty() {
            let names = members::names(checked, &entry).join(", ");
            let follow = entry.others.iter().all(|other| other.follows) && !finding.follows;
            let what = if follow { "that follow from it" } else { "of this cause" };
            write!(out, "; and {} more {what}: {}", entry.others.len(), printable(&names))?;
        }
        match &finding.waived {
            Some(waived) => writeln!(out, "; waived: {}", reason(waived))?,
            None if finding.known => writeln!(out, "; known")?,
            None => {
                // What was accepted once is back because it has grown.
                let grown = finding.figures.iter().find(|figure| GROWN.contains(&figure.name));
                match grown {
                    Some(grown) => writeln!(out, "; {}: {}", grown.name, printable(&grown.value))?,
                    None => writeln!(out)?,
                }
            }
        }
    }
    Ok(())
}
