//! One line a change, and one a finding that came or went; for logs.

use super::{Compared, effect};
use crate::{
    render::kit::{
        caution::caution_line,
        palette::{self, paint},
        printable,
    },
    terminal::Look,
};
use harness_core::diff::effect::Told;
use std::io::{self, Write};

/// Writes `changed: …` for every change, `came: …` and `went: …` for findings, and what could not be compared.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, look: Look, out: &mut dyn Write) -> io::Result<()> {
    for change in &compared.changes {
        writeln!(out, "changed: {}", printable(&change.headline()))?;
    }
    let findings = &compared.effect.findings;
    for (word, list, checked) in [("came", &findings.came, &compared.new), ("went", &findings.went, &compared.old)] {
        for told in list {
            finding(word, told, &checked.shown(&told.place), look, out)?;
        }
    }
    for stayed in &findings.changed {
        finding("stays with other figures", &stayed.new, &compared.new.shown(&stayed.new.place), look, out)?;
    }
    for unread in compared.unread() {
        writeln!(out, "not compared: {}", printable(&unread))?;
    }
    match effect::nothing(compared).filter(|_| compared.is_same()) {
        Some(nothing) => writeln!(out, "{nothing}"),
        None => caution_line(out),
    }
}

fn finding(word: &str, told: &Told, place: &str, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let level = paint(look, palette::level(told.level), told.level.name());
    let accepted = if told.waived.is_some() { " (accepted)" } else { "" };
    writeln!(out, "{word}: {place}: {level}[{}]: {}{accepted}", told.rule, printable(&told.headline))
}
