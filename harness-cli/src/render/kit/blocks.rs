//! Blocks of text on a screen: headings, rows of names and values, running text.

use super::{
    palette::{self, paint},
    printable, wrap,
};
use crate::terminal::Look;
use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

/// Names of facts longer than this do not widen the column of all.
const WIDEST_NAME: usize = 18;

/// A heading on a line of its own.
pub(crate) fn heading(text: &str, look: Look, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", paint(look, palette::heading(), text))
}

/// Running text behind `first`, its further lines behind `then`.
pub(crate) fn flow(first: &str, then: &str, text: &str, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let room = look.width.saturating_sub(first.len().max(then.len())).max(20);
    for (at, line) in wrap(&printable(text), room).iter().enumerate() {
        writeln!(out, "{}{line}", if at == 0 { first } else { then })?;
    }
    Ok(())
}

/// The rows that say something, in two columns.
pub(crate) fn said(rows: &[(&str, &str)], look: Look, out: &mut dyn Write) -> io::Result<()> {
    let rows: Vec<_> = rows.iter().filter(|(_, value)| !value.is_empty()).copied().collect();
    pairs(&rows, look, out)
}

/// Writes `name: value` rows, indented, with the values in one column and wrapped there.
pub(crate) fn pairs(rows: &[(&str, &str)], look: Look, out: &mut dyn Write) -> io::Result<()> {
    let column = rows.iter().map(|(name, _)| name.width()).filter(|width| *width <= WIDEST_NAME).max().unwrap_or(0);
    for (name, value) in rows {
        let name = format!("{name}:");
        let gap = (column + 2).saturating_sub(name.width()).max(1);
        let indent = 2 + column + 2;
        let first = 2 + name.width() + gap;
        write!(out, "  {}{:gap$}", paint(look, palette::heading(), &name), "")?;
        // A name that is too long for the column pushes its first line only.
        let filler = "x".repeat(first - indent);
        let lines = wrap(&format!("{filler}{}", printable(value)), look.width.saturating_sub(indent).max(20));
        for (index, line) in lines.iter().enumerate() {
            match index {
                0 => writeln!(out, "{}", line.get(filler.len()..).unwrap_or(line).trim_end())?,
                _ => writeln!(out, "{:indent$}{line}", "")?,
            }
        }
    }
    Ok(())
}
