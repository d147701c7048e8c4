//! Tables that stay within a width: columns are left out by rank, and what was left out is said.

use super::palette::{self, paint};
use crate::terminal::Look;
use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

/// Blanks between two columns.
const GAP: usize = 2;

/// A column.
#[derive(Debug, Clone, Copy)]
pub struct Column<'a> {
    /// Its heading.
    pub title: &'a str,
    /// Whether its values are aligned to the right.
    pub right: bool,
    /// 0 is never left out; of the others the highest goes first.
    pub rank: u8,
}

impl<'a> Column<'a> {
    /// A column of text.
    #[must_use]
    pub const fn left(title: &'a str, rank: u8) -> Self {
        Self { title, right: false, rank }
    }

    /// A column of figures.
    #[must_use]
    pub const fn right(title: &'a str, rank: u8) -> Self {
        Self { title, right: true, rank }
    }
}

/// What did not fit.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct LeftOut<'a> {
    /// Headings of the columns that were left out, in their order.
    pub titles: Vec<&'a str>,
    /// The width at which all fit.
    pub needed: usize,
}

/// Writes `rows` below the headings of `columns`, indented by `indent`.
///
/// Columns that do not fit are left out, those of the highest rank first. Where not even the rest fits, the first column
/// is on a line of its own above the others, and a line that is still too long is wrapped at its columns. A column
/// without any value is not a column.
///
/// # Errors
/// If `out` can't be written.
pub fn write<'a>(
    columns: &[Column<'a>],
    rows: &[Vec<String>],
    indent: usize,
    look: Look,
    out: &mut dyn Write,
) -> io::Result<LeftOut<'a>> {
    grouped(columns, &[("", rows)], indent, look, out)
}

/// Writes rows in groups, each below its heading, all with the same columns.
///
/// # Errors
/// If `out` can't be written.
pub fn write_groups<'a>(
    columns: &[Column<'a>],
    groups: &[(String, Vec<Vec<String>>)],
    indent: usize,
    look: Look,
    out: &mut dyn Write,
) -> io::Result<LeftOut<'a>> {
    let groups: Vec<(&str, &[Vec<String>])> = groups.iter().map(|(heading, rows)| (heading.as_str(), rows.as_slice())).collect();
    grouped(columns, &groups, indent, look, out)
}

fn grouped<'a>(
    columns: &[Column<'a>],
    groups: &[(&str, &[Vec<String>])],
    indent: usize,
    look: Look,
    out: &mut dyn Write,
) -> io::Result<LeftOut<'a>> {
    let rows = || groups.iter().flat_map(|(_, rows)| rows.iter());
    let cell = |row: &[String], at: usize| row.get(at).cloned().unwrap_or_default();
    let widths: Vec<usize> = columns
        .iter()
        .enumerate()
        .map(|(at, column)| rows().map(|row| cell(row, at).width()).max().unwrap_or(0).max(column.title.width()))
        .collect();
    let is_used = |at: usize| rows().next().is_none() || rows().any(|row| !cell(row, at).is_empty());
    let mut kept: Vec<usize> = (0..columns.len()).filter(|at| is_used(*at)).collect();
    let total = |kept: &[usize]| {
        let sum: usize = kept.iter().filter_map(|at| widths.get(*at)).map(|width| width + GAP).sum();
        indent + sum.saturating_sub(GAP)
    };
    let needed = total(&kept);
    let mut left_out: Vec<usize> = Vec::new();
    while total(&kept) > look.width {
        let rank = |at: &usize| columns.get(*at).map_or(0, |column| column.rank);
        let Some(worst) = kept.iter().copied().filter(|at| rank(at) > 0).max_by_key(|at| (rank(at), *at)) else { break };
        kept.retain(|at| *at != worst);
        left_out.push(worst);
    }
    left_out.sort_unstable();
    let titles: Vec<String> = columns.iter().map(|column| column.title.to_owned()).collect();
    // Not even the columns that are never left out fit: the first goes above the others.
    let stacked = total(&kept) > look.width;
    let line = |row: &[String], heading: bool, out: &mut dyn Write| -> io::Result<()> {
        let mut text = " ".repeat(indent);
        let mut used = indent;
        for (place, at) in kept.iter().enumerate() {
            let (value, width) = (cell(row, *at), widths.get(*at).copied().unwrap_or(0));
            let right = columns.get(*at).is_some_and(|column| column.right);
            let pad = " ".repeat(width.saturating_sub(value.width()));
            let value = if heading { paint(look, palette::heading(), &value) } else { value };
            if stacked && (place == 1 || used + width > look.width) {
                writeln!(out, "{}", text.trim_end())?;
                text = " ".repeat(indent + GAP);
                used = indent + GAP;
            }
            text.push_str(&if right { format!("{pad}{value}") } else { format!("{value}{pad}") });
            text.push_str(&" ".repeat(GAP));
            used += width + GAP;
        }
        writeln!(out, "{}", text.trim_end())
    };
    line(&titles, true, out)?;
    for (heading, rows) in groups {
        if !heading.is_empty() {
            writeln!(out, "{:indent$}{}", "", paint(look, palette::heading(), heading))?;
        }
        for row in *rows {
            line(row, false, out)?;
        }
    }
    let titles = left_out.iter().filter_map(|at| columns.get(*at)).map(|column| column.title).collect();
    Ok(LeftOut { titles, needed })
}

#[cfg(test)]
mod tests {
    use super::{Column, write};
    use crate::terminal::Look;
    use unicode_width::UnicodeWidthStr;

    fn drawn(width: usize) -> (String, Vec<&'static str>) {
        let columns = [Column::left("name", 0), Column::right("rating", 2), Column::left("mode", 1), Column::right("margin", 0)];
        let rows = [["fuse-box.F4", "7.5 A", "drive", "1.2"], ["fuse-box.F12", "125 A", "", "13"]];
        let rows: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(|cell| (*cell).to_owned()).collect()).collect();
        let mut out = Vec::new();
        let left_out = write(&columns, &rows, 0, Look { width, colour: false, unicode: true }, &mut out).unwrap();
        (String::from_utf8(out).unwrap(), left_out.titles)
    }

    #[test]
    fn columns_go_by_their_rank_and_are_named() {
        let (text, left_out) = drawn(80);
        let expected =
            ["name          rating  mode   margin", "fuse-box.F4    7.5 A  drive     1.2", "fuse-box.F12   125 A             13"];
        assert_eq!(text.lines().collect::<Vec<_>>(), expected);
        assert!(left_out.is_empty());
        let (text, left_out) = drawn(30);
        let expected = ["name          mode   margin", "fuse-box.F4   drive     1.2", "fuse-box.F12             13"];
        assert_eq!(text.lines().collect::<Vec<_>>(), expected);
        assert_eq!(left_out, ["rating"]);
        assert_eq!(drawn(22).1, ["rating", "mode"]);
    }

    #[test]
    fn where_nothing_can_go_the_name_stands_above() {
        let (text, left_out) = drawn(15);
        assert_eq!(left_out, ["rating", "mode"]);
        assert!(text.contains("fuse-box.F4\n     1.2\n"), "{text}");
        assert!(text.lines().all(|line| line.width() <= 15), "{text}");
    }
}
