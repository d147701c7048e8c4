//! A difference on one screen: what changed by loom and device, then what that does.

use super::{
    Compared,
    effect::{self, Item, left_out, nothing, sections},
};
use crate::{
    phrase::counted,
    render::kit::{
        blocks::{flow, heading, said},
        caution::caution,
        palette::{self, paint},
        printable, wrap,
    },
    terminal::Look,
};
use std::io::{self, Write};

/// Writes the difference; where there is none, one line.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let unread = compared.unread();
    if let Some(nothing) = nothing(compared).filter(|_| compared.is_same()) {
        writeln!(out, "{nothing}")?;
        for unread in unread {
            flow("not compared: ", "  ", &unread, look, out)?;
        }
        return Ok(());
    }
    let (old, new) = (compared.old.shown(&compared.old.root), compared.new.shown(&compared.new.root));
    for line in wrap(&format!("from {old} to {new}"), look.width) {
        writeln!(out, "{}", paint(look, palette::heading(), &line))?;
    }
    let design = compared.design();
    let changed = changed(compared);
    let findings = compared.findings();
    let unread = unread.join("; ");
    let rows = [("design", design.as_str()), ("changed", &changed), ("findings", &findings), ("not compared", &unread)];
    said(&rows, look, out)?;
    for group in compared.groups() {
        writeln!(out)?;
        heading(&printable(&group.title), look, out)?;
        for change in group.changes {
            flow("  - ", "    ", &change.headline(), look, out)?;
            if !change.rests_on().is_empty() {
                flow("    ", "    ", &format!("recognised by this: {}", change.rests_on().join(", ")), look, out)?;
            }
        }
    }
    writeln!(out)?;
    heading("what that does", look, out)?;
    if let Some(nothing) = nothing(compared) {
        flow("  ", "  ", &nothing, look, out)?;
    }
    for section in sections(compared) {
        writeln!(out)?;
        heading(section.title, look, out)?;
        let all = section.title.starts_with("findings that came");
        for item in section.items.iter().take(if all { usize::MAX } else { effect::shown(section.items.len()) }) {
            write_item(item, look, out)?;
        }
        if let Some(more) = left_out(section.items.len(), "item").filter(|_| !all) {
            flow("  ", "  ", &more, look, out)?;
        }
    }
    writeln!(out)?;
    caution(look, out)
}

/// Parts of the design that are named one by one; of more their kinds are.
const MOST_GROUPS: usize = 8;

/// `12 changes: 1 in parts, 3 in device vcu, 8 in loom front`.
fn changed(compared: &Compared) -> String {
    let groups = compared.groups();
    let mut parts: Vec<(String, usize)> = Vec::new();
    for group in &groups {
        let kind = group.title.split_once(' ').map(|(kind, _)| format!("{kind}s"));
        let title = kind.filter(|_| groups.len() > MOST_GROUPS).unwrap_or_else(|| group.title.clone());
        match parts.iter_mut().find(|(known, _)| *known == title) {
            Some((_, count)) => *count += group.changes.len(),
            None => parts.push((title, group.changes.len())),
        }
    }
    let parts: Vec<String> = parts.iter().map(|(title, count)| format!("{count} in {title}")).collect();
    format!("{}: {}", counted(compared.changes.len(), "change"), parts.join(", "))
}

fn write_item(item: &Item, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let mut first = wrap(&printable(&item.text), look.width.saturating_sub(4)).into_iter();
    let head = first.next().unwrap_or_default();
    let head = match item.level {
        Some(level) => match head.strip_prefix(level.name()) {
            Some(rest) => format!("{}{rest}", paint(look, palette::level(level), level.name())),
            None => head,
        },
        None => head,
    };
    writeln!(out, "  - {head}")?;
    for line in first {
        writeln!(out, "    {line}")?;
    }
    for more in &item.more {
        flow("      ", "        ", more, look, out)?;
    }
    Ok(())
}
