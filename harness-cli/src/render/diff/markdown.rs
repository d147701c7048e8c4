//! A difference as a comment on a change request, in Markdown. Of HTML only `details` and `summary` are used.

use super::{
    Compared,
    effect::{self, Item, Section, left_out, nothing, sections},
};
use crate::{
    phrase::counted,
    render::kit::comment::{self, cell, code, escaped},
};
use percent_encoding::{AsciiSet, CONTROLS, utf8_percent_encode};
use std::io::{self, Write};

/// What an address between angle brackets can't hold.
const IN_ADDRESS: &AsciiSet = &CONTROLS.add(b'<').add(b'>').add(b'%').add(b'\\').add(b'#').add(b'?');

/// A picture of the changed wires of a loom, in a file beside the comment.
#[derive(Debug, Clone)]
pub struct Beside {
    /// The loom.
    pub loom: String,
    /// The name of the file.
    pub file: String,
}

/// Writes the comment.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, beside: &[Beside], out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "## Wiring changes: {}\n", escaped(compared.new.called()))?;
    let (old, new) = (compared.old.shown(&compared.old.root), compared.new.shown(&compared.new.root));
    let (verdict, more) = verdict(compared);
    writeln!(out, "**{}**{}\n", escaped(&verdict), escaped(&more))?;
    writeln!(out, "From {} to {}; {}.\n", code(&old), code(&new), escaped(&compared.design()))?;
    for unread in compared.unread() {
        writeln!(out, "**Not compared:** {}.\n", escaped(&unread))?;
    }
    if !compared.is_same() {
        // What came is read first and never folded away.
        let (open, folded): (Vec<Section>, Vec<Section>) =
            sections(compared).into_iter().partition(|section| matches!(section.title, "findings that came" | "loads"));
        for section in &open {
            section_open(section, out)?;
        }
        changes(compared, out)?;
        pictures(beside, out)?;
        for section in &folded {
            section_folded(section, out)?;
        }
    }
    comment::caution(out)
}

/// What a reader must know first, and what it rests on.
fn verdict(compared: &Compared) -> (String, String) {
    if compared.is_same() {
        return (format!("{}.", capital(&nothing(compared).unwrap_or_default())), String::new());
    }
    let changes = counted(compared.changes.len(), "change");
    match (nothing(compared), compared.brought().count()) {
        (Some(nothing), _) => (format!("{changes}: {nothing}."), String::new()),
        (None, 0) => (format!("{changes}, no new finding."), format!(" Findings that {}.", compared.findings())),
        (None, brought) => {
            (format!("{changes}, {}.", counted(brought, "new finding")), format!(" Findings that {}.", compared.findings()))
        }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn changes(compared: &Compared, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "### What changed\n")?;
    writeln!(out, "| where | what |\n| --- | --- |")?;
    for group in compared.groups() {
        for change in group.changes {
            let because = match change.rests_on() {
                [] => String::new(),
                joins => format!(" (recognised by this: {})", joins.join(", ")),
            };
            let what = cell(&format!("{}{because}", change.headline()));
            writeln!(out, "| {} | {what} |", cell(&group.title))?;
        }
    }
    writeln!(out)
}

fn pictures(beside: &[Beside], out: &mut dyn Write) -> io::Result<()> {
    for Beside { loom, file } in beside {
        // Between angle brackets an address may hold blanks and brackets; the brackets themselves are written as an address writes them.
        let address = utf8_percent_encode(file, IN_ADDRESS);
        writeln!(out, "![changed wires of loom {}](<{address}>)\n", escaped(loom))?;
    }
    Ok(())
}

fn section_open(section: &Section, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "### {}\n", capital(section.title))?;
    items(section, usize::MAX, out)
}

fn section_folded(section: &Section, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "<details>\n<summary>{} ({})</summary>\n", capital(section.title), section.items.len())?;
    items(section, effect::shown(section.items.len()), out)?;
    writeln!(out, "</details>\n")
}

fn items(section: &Section, most: usize, out: &mut dyn Write) -> io::Result<()> {
    for Item { level, text, more } in section.items.iter().take(most) {
        // `level[rule]: headline`, the level in bold and the rule as code.
        let parts = level.and_then(|level| Some((level, text.strip_prefix(level.name())?.strip_prefix('[')?.split_once("]: ")?)));
        match parts {
            Some((level, (rule, headline))) => writeln!(out, "- **{level}** {}: {}", code(rule), escaped(headline))?,
            None => writeln!(out, "- {}", escaped(text))?,
        }
        for line in more {
            writeln!(out, "  - {}", escaped(line))?;
        }
    }
    if let Some(more) = left_out(section.items.len(), "item").filter(|_| section.items.len() > most) {
        writeln!(out, "- {}", escaped(&more))?;
    }
    writeln!(out)
}
