//! Papers on a screen or in a pipe.

use super::{Cell, Paper, Section, Table};
use crate::{
    phrase::counted,
    render::kit::{
        blocks::{flow, heading, pairs},
        caution, printable,
        table::{self, LeftOut},
    },
    terminal::Look,
};
use harness_core::bench::Identity;
use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

pub(super) fn write(papers: &[Paper], identity: &Identity, look: Look, out: &mut dyn Write) -> io::Result<()> {
    for (number, paper) in papers.iter().enumerate() {
        if number > 0 {
            writeln!(out)?;
        }
        one(paper, identity, look, out)?;
    }
    writeln!(out)?;
    caution::caution(look, out)
}

/// A line a paper: its name, what it is about, its rows, how much is not known.
pub(super) fn index(papers: &[Paper], identity: &Identity, look: Look, out: &mut dyn Write) -> io::Result<()> {
    heading("papers of the bench", look, out)?;
    flow("", "", &identity_line(identity), look, out)?;
    let columns = [
        table::Column::left("paper", 0),
        table::Column::left("of", 0),
        table::Column::right("rows", 0),
        table::Column::right("not known", 0),
    ];
    let row = |paper: &Paper| {
        let rows: usize = paper.tables().map(|table| table.rows().count()).sum();
        let unknown = if paper.unknown.is_empty() { String::new() } else { counted(paper.unknown.len(), "line") };
        vec![paper.name.clone(), printable(&paper.about).into_owned(), rows.to_string(), unknown]
    };
    table::write(&columns, &papers.iter().map(row).collect::<Vec<_>>(), 2, look, out)?;
    flow(
        "",
        "",
        "`harness papers FILE PAPER` shows one, `--out DIR` writes all of them as pages to print, tables, a workbook and JSON",
        look,
        out,
    )?;
    writeln!(out)?;
    caution::caution(look, out)
}

fn one(paper: &Paper, identity: &Identity, look: Look, out: &mut dyn Write) -> io::Result<()> {
    heading(&printable(&paper.heading()), look, out)?;
    flow("", "", &identity_line(identity), look, out)?;
    if paper.has_class_b {
        flow("! ", "  ", caution::CAUTION[1], look, out)?;
    }
    for line in &paper.lead {
        flow("", "  ", line, look, out)?;
    }
    for line in &paper.unknown {
        flow("not known: ", "  ", line, look, out)?;
    }
    for section in &paper.sections {
        writeln!(out)?;
        self::section(section, look, out)?;
    }
    if !paper.sources.is_empty() {
        writeln!(out)?;
        for line in &paper.sources {
            flow("source: ", "  ", line, look, out)?;
        }
    }
    Ok(())
}

/// Which design a paper was made from, in one line.
pub(super) fn identity_line(identity: &Identity) -> String {
    if !identity.is_of_a_design() {
        return "from readings alone, without a design".to_owned();
    }
    let design = if identity.design.is_empty() { "design without a name" } else { &identity.design };
    let revision =
        if identity.revision.is_empty() { "no revision given".to_owned() } else { format!("revision {}", identity.revision) };
    format!("{design}, {revision}, content {}", identity.fingerprint)
}

fn section(section: &Section, look: Look, out: &mut dyn Write) -> io::Result<()> {
    if !section.heading.is_empty() {
        heading(&printable(&section.heading), look, out)?;
    }
    for line in &section.lines {
        flow("", "  ", line, look, out)?;
    }
    for line in section.picture.iter().flat_map(|picture| &picture.words) {
        writeln!(out, "{}", printable(line))?;
    }
    if let Some(table) = &section.table {
        flow("", "  ", &table.caption, look, out)?;
        self::table(table, look, out)?;
    }
    for line in &section.after {
        flow("", "  ", line, look, out)?;
    }
    Ok(())
}

fn table(table: &Table, look: Look, out: &mut dyn Write) -> io::Result<()> {
    // What is filled in by hand has no use on a screen.
    let is_filled_in = |at: usize| {
        let mut cells = table.rows().filter_map(|row| row.get(at)).peekable();
        cells.peek().is_some() && cells.all(|cell| matches!(cell, Cell::Tick | Cell::Write(_)))
    };
    let kept: Vec<usize> = table.for_people().into_iter().filter(|at| !is_filled_in(*at)).collect();
    let titles: Vec<(String, bool, u8)> = kept
        .iter()
        .filter_map(|at| table.columns.get(*at))
        .map(|column| (title(column.head, column.unit), column.figures, column.rank))
        .collect();
    let rows = |lines: usize| -> Vec<(String, Vec<Vec<String>>)> {
        let row = |row: &Vec<Cell>| kept.iter().filter_map(|at| row.get(*at)).map(|cell| shown(cell, lines)).collect();
        let groups = table.groups.iter();
        groups.map(|group| (printable(&group.heading).into_owned(), group.rows.iter().map(row).collect())).collect()
    };
    // What is never left out must fit: else the first line of each cell alone, else a list of the rows.
    let fits = |groups: &[(String, Vec<Vec<String>>)]| {
        let width_of = |at: usize| {
            let cells = groups.iter().flat_map(|(_, rows)| rows).filter_map(|row| row.get(at)).map(|cell| cell.width());
            cells.chain(titles.get(at).map(|(title, ..)| title.width())).max().unwrap_or(0)
        };
        let kept = titles.iter().enumerate().filter(|(_, (.., rank))| *rank == 0).map(|(at, _)| width_of(at) + 2);
        kept.sum::<usize>() <= look.width
    };
    let (all, first) = (rows(usize::MAX), rows(1));
    let groups = match (fits(&all), fits(&first)) {
        (true, _) => all,
        (false, true) => {
            flow("  ", "  ", "of each cell its first line; `--width` and other formats show all", look, out)?;
            first
        }
        (false, false) => return rows_as_lists(&titles, table, &kept, look, out),
    };
    let columns: Vec<table::Column<'_>> =
        titles.iter().map(|(title, right, rank)| table::Column { title, right: *right, rank: *rank }).collect();
    let LeftOut { titles, needed } = table::write_groups(&columns, &groups, 2, look, out)?;
    if !titles.is_empty() {
        let titles: Vec<String> = titles.into_iter().map(str::to_owned).collect();
        flow(
            "  ",
            "  ",
            &format!("left out: {}; `--width {needed}` shows all, other formats too", titles.join(", ")),
            look,
            out,
        )?;
    }
    Ok(())
}

/// Each row as a line with its first cell, and its other cells by name below.
fn rows_as_lists(
    titles: &[(String, bool, u8)],
    table: &Table,
    kept: &[usize],
    look: Look,
    out: &mut dyn Write,
) -> io::Result<()> {
    for group in &table.groups {
        if !group.heading.is_empty() {
            heading(&printable(&group.heading), look, out)?;
        }
        for row in &group.rows {
            let mut cells = kept.iter().filter_map(|at| row.get(*at));
            let first = cells.next().map_or_else(String::new, |cell| shown(cell, usize::MAX));
            let second = cells.next().map(lines).unwrap_or_default();
            let mut second = second.iter().map(String::as_str);
            flow(&format!("  {first}  "), "     ", second.next().unwrap_or(""), look, out)?;
            for line in second {
                flow("     ", "       ", line, look, out)?;
            }
            for ((title, ..), cell) in titles.iter().skip(2).zip(cells) {
                let all = lines(cell);
                let mut said = all.iter().map(String::as_str);
                let Some(first) = said.next().filter(|line| !line.is_empty() && *line != group.heading) else { continue };
                pairs(&[(title.as_str(), first)], look, out)?;
                let indent = " ".repeat(title.width() + 4);
                for line in said {
                    flow(&indent, &indent, line, look, out)?;
                }
            }
        }
    }
    Ok(())
}

/// The lines of a cell.
fn lines(cell: &Cell) -> Vec<String> {
    match cell {
        Cell::Text(text) => text.lines().map(|line| printable(line).into_owned()).collect(),
        other => vec![shown(other, usize::MAX)],
    }
}

/// A heading with its unit.
fn title(head: &str, unit: &str) -> String {
    match (head, unit) {
        (head, "") => head.to_owned(),
        ("", unit) => unit.to_owned(),
        (head, unit) => format!("{head} {unit}"),
    }
}

/// A cell as text, of its lines so many.
fn shown(cell: &Cell, lines: usize) -> String {
    match cell {
        Cell::Text(text) => text.lines().take(lines).map(|line| printable(line).into_owned()).collect::<Vec<_>>().join("; "),
        Cell::Figure(_, shown) => shown.clone(),
        Cell::Colour(colour) => colour.to_string(),
        Cell::None(why) => (*why).to_owned(),
        Cell::Tick | Cell::Write(_) => String::new(),
    }
}
