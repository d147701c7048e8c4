//! A paper of the bench before it has a form: lines, tables and pictures with what every sheet carries. Each format lays out the same one.
//!
//! A paper says everything in words and cells; a format leaves nothing out that another has, except that a comma-separated file holds one table.

mod csv;
mod html;
mod json;
mod style;
mod text;
mod workbook;

pub use json::PapersJson;

use crate::terminal::Look;
use harness_core::{bench::Identity, colours::WireColour, internals::threads};
use std::{
    collections::BTreeSet,
    io::{self, Write},
};

/// How papers are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum PaperFormat {
    /// Text that stays within the width.
    Text,
    /// Comma-separated values: the first table of the paper, or the one that `--table` names.
    Csv,
    /// A page to be printed on A4 or Letter.
    Html,
    /// JSON, as `harness schema --of papers` describes it.
    Json,
}

/// Writes papers of one design; of comma-separated values one table alone.
///
/// # Errors
/// If `out` can't be written, or `table` is none of theirs.
pub fn write(
    papers: &[Paper],
    identity: &Identity,
    (format, table): (PaperFormat, Option<&str>),
    look: Look,
    out: &mut dyn Write,
) -> io::Result<()> {
    match format {
        PaperFormat::Text => text::write(papers, identity, look, out),
        PaperFormat::Csv => csv::write(papers, table, out),
        PaperFormat::Html => out.write_all(html::page(papers, identity).as_bytes()),
        PaperFormat::Json => json::write(papers, identity, out),
    }
}

/// Papers as a workbook, a tab each table.
///
/// # Errors
/// If they don't fit into one; the text completes "failed to …".
pub fn book(papers: &[Paper], identity: &Identity) -> Result<Vec<u8>, String> {
    workbook::bytes(papers, identity)
}

/// What papers there are, in a line each.
///
/// # Errors
/// If `out` can't be written.
pub fn index(papers: &[Paper], identity: &Identity, look: Look, out: &mut dyn Write) -> io::Result<()> {
    text::index(papers, identity, look, out)
}

/// The papers as files of a folder: a page each, and each table as comma-separated values; then all tables as a workbook and as JSON.
///
/// # Errors
/// If something can't be written in its format; the text completes "failed to …".
pub fn files(papers: &[Paper], identity: &Identity) -> Result<Vec<(String, Vec<u8>)>, String> {
    // Packing the workbook takes as long as all the rest.
    let (book, pages) = threads::both(|| book(papers, identity), || pages(papers, identity));
    let mut files = pages?;
    files.push(("papers.xlsx".to_owned(), book?));
    Ok(files)
}

/// All files but the workbook.
fn pages(papers: &[Paper], identity: &Identity) -> Result<Vec<(String, Vec<u8>)>, String> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let mut taken: BTreeSet<String> = BTreeSet::new();
    for paper in papers {
        let one = std::slice::from_ref(paper);
        let stem = alone(&mut taken, &paper.file());
        files.push((format!("{stem}.html"), html::page(one, identity).into_bytes()));
        let tables = paper.merged();
        for table in &tables {
            let name = if tables.len() > 1 { format!("{stem}.{}.csv", table.key) } else { format!("{stem}.csv") };
            files.push((name, csv::bytes(table)?));
        }
    }
    files.push(("papers.html".to_owned(), html::page(papers, identity).into_bytes()));
    let mut json = Vec::new();
    json::write(papers, identity, &mut json).map_err(|error| error.to_string())?;
    files.push(("papers.json".to_owned(), json));
    Ok(files)
}

/// A name that no other file of the folder has, whatever the case of its letters: `a b` and `a-b` are one name as a file.
fn alone(taken: &mut BTreeSet<String>, name: &str) -> String {
    let with = |number: usize| if number < 2 { name.to_owned() } else { format!("{name}-{number}") };
    let mut number = 1;
    while !taken.insert(with(number).to_lowercase()) {
        number += 1;
    }
    with(number)
}

/// A paper.
#[derive(Debug, Clone, Default)]
pub struct Paper {
    /// What it is called in file names and in JSON: `cut-list`, `ring-out`. Lower case with hyphens.
    pub name: String,
    /// What it is called on paper: `cut list`.
    pub title: String,
    /// What it is about where the design has several: ``loom `front` ``; empty otherwise.
    pub subject: String,
    /// The name of that alone, for file names: `front`; empty otherwise.
    pub about: String,
    /// Whether anything on it is of voltage class B: it then bears the warning sign and says who may work by it.
    pub has_class_b: bool,
    /// What a reader must know first: how to use it, what was assumed.
    pub lead: Vec<String>,
    /// What the design does not say, so that the paper can't.
    pub unknown: Vec<String>,
    /// Its sections, in reading order.
    pub sections: Vec<Section>,
    /// Where its figures come from, and their status.
    pub sources: Vec<String>,
}

/// A section of a paper: lines, then a picture, then a table.
#[derive(Debug, Clone, Default)]
pub struct Section {
    /// Its heading; empty for the only section of a paper.
    pub heading: String,
    /// Whether it begins a sheet of its own when printed.
    pub own_sheet: bool,
    /// Lines before the picture and the table.
    pub lines: Vec<String>,
    /// A drawing.
    pub picture: Option<Picture>,
    /// A table.
    pub table: Option<Table>,
    /// Slips to be cut out and put on: the lines of each, set three times side by side so that they read all round. A page has them, other
    /// formats have the table that they are from.
    pub slips: Vec<Vec<String>>,
    /// Lines behind the table.
    pub after: Vec<String>,
}

/// A drawing, as SVG without a prologue, with what it shows in words.
#[derive(Debug, Clone, Default)]
pub struct Picture {
    /// The `<svg>` element.
    pub svg: String,
    /// The same in words, for the terminal and for those who can't see it.
    pub words: Vec<String>,
}

/// A table.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// Its name in JSON, and of its file where a paper has several: `wires`, `spools`.
    pub key: &'static str,
    /// What it holds and in which order, in one line.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows by group; a table without groups has one without a heading.
    pub groups: Vec<Group>,
}

/// Rows that are kept together on a page where they fit on one.
#[derive(Debug, Clone, Default)]
pub struct Group {
    /// Its heading; what it says is in cells of its rows too.
    pub heading: String,
    /// Its rows, a cell for each column.
    pub rows: Vec<Vec<Cell>>,
}

/// A column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Its name in comma-separated values, workbooks and JSON; ends with its unit where it has one: `length_mm`. Never changed once it is out.
    pub key: &'static str,
    /// Its heading on paper.
    pub head: &'static str,
    /// The unit of its figures, as paper shows it: `mm`, `mm²`, `Ω`; empty for none.
    pub unit: &'static str,
    /// Whether it holds figures, aligned to the right.
    pub figures: bool,
    /// On a narrow terminal: 0 is never left out, of the others the highest goes first.
    pub rank: u8,
    /// Who reads it.
    pub readers: Readers,
}

/// Who reads a column: one fact a cell is best for a program, and a few facts in one cell for a sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readers {
    /// People and programs.
    All,
    /// People: what it says is in other columns too.
    People,
    /// Programs.
    Programs,
}

impl Column {
    /// A column of words.
    #[must_use]
    pub const fn words(key: &'static str, head: &'static str, rank: u8) -> Self {
        Self { key, head, unit: "", figures: false, rank, readers: Readers::All }
    }

    /// A column of figures in a unit.
    #[must_use]
    pub const fn figures(key: &'static str, head: &'static str, unit: &'static str, rank: u8) -> Self {
        Self { key, head, unit, figures: true, rank, readers: Readers::All }
    }

    /// The same for people alone.
    #[must_use]
    pub const fn on_paper(self) -> Self {
        Self { readers: Readers::People, ..self }
    }

    /// The same for programs alone.
    #[must_use]
    pub const fn as_data(self) -> Self {
        Self { readers: Readers::Programs, ..self }
    }
}

/// What is in one cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Words; lines of their own on paper.
    Text(String),
    /// A figure in the unit of its column: its value, and how paper shows it (three significant digits, or as the design writes it).
    Figure(f64, String),
    /// A colour: its letters and a swatch.
    Colour(WireColour),
    /// Nothing, for a reason that people would ask for; an empty reason where nothing belongs there.
    None(&'static str),
    /// A box to tick.
    Tick,
    /// Room to write in by hand, so many millimetres wide.
    Write(u8),
}

impl Cell {
    /// Words; nothing where there are none.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Self::None("") } else { Self::Text(text) }
    }

    /// A figure to three significant digits.
    #[must_use]
    pub fn figure(value: f64) -> Self {
        Self::Figure(value, three_digits(value))
    }

    /// A count or another whole number.
    #[must_use]
    pub fn count(value: usize) -> Self {
        Self::Figure(value as f64, value.to_string())
    }

    /// A figure to three significant digits, or why there is none.
    #[must_use]
    pub fn figure_or(value: Option<f64>, why: &'static str) -> Self {
        value.map_or(Self::None(why), Self::figure)
    }
}

/// `value` to three significant digits, without an exponent and without noughts that say nothing: `0.0123`, `1.5`, `12300`.
#[must_use]
pub fn three_digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { "no limit".to_owned() };
    }
    let places = (2 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let shown = format!("{value:.places$}");
    if shown.contains('.') { shown.trim_end_matches('0').trim_end_matches('.').to_owned() } else { shown }
}

impl Table {
    /// A table without groups.
    #[must_use]
    pub fn of(key: &'static str, caption: impl Into<String>, columns: &[Column], rows: Vec<Vec<Cell>>) -> Self {
        let groups = vec![Group { heading: String::new(), rows }];
        Self { key, caption: caption.into(), columns: columns.to_vec(), groups }
    }

    /// The columns that people read, by their places; one in which nothing belongs anywhere is left out.
    #[must_use]
    pub fn for_people(&self) -> Vec<usize> {
        let says = |at: usize| {
            let mut cells = self.rows().filter_map(|row| row.get(at)).peekable();
            cells.peek().is_none() || cells.any(|cell| *cell != Cell::None(""))
        };
        let own = self.columns.iter().enumerate().filter(|(_, column)| column.readers != Readers::Programs).map(|(at, _)| at);
        own.filter(|at| says(*at)).collect()
    }

    /// The columns that programs read, by their places: boxes are for hands.
    #[must_use]
    pub fn for_programs(&self) -> Vec<usize> {
        let is_box = |at: usize| {
            let mut cells = self.rows().filter_map(|row| row.get(at)).peekable();
            cells.peek().is_some() && cells.all(|cell| matches!(cell, Cell::Tick | Cell::Write(_)))
        };
        let own = self.columns.iter().enumerate().filter(|(_, column)| column.readers != Readers::People).map(|(at, _)| at);
        own.filter(|at| !is_box(*at)).collect()
    }

    /// Its rows, group after group.
    pub fn rows(&self) -> impl Iterator<Item = &Vec<Cell>> {
        self.groups.iter().flat_map(|group| &group.rows)
    }
}

impl Paper {
    /// Its name as a file: that of the paper, and of what it is about.
    #[must_use]
    pub fn file(&self) -> String {
        let safe = |letter: char| if letter.is_alphanumeric() || "-_".contains(letter) { letter } else { '-' };
        let about: String = self.about.chars().map(safe).collect();
        if about.is_empty() { self.name.clone() } else { format!("{}.{about}", self.name) }
    }

    /// Its heading: ``cut list of loom `front` ``.
    #[must_use]
    pub fn heading(&self) -> String {
        if self.subject.is_empty() { self.title.clone() } else { format!("{} of {}", self.title, self.subject) }
    }

    /// Its tables for a program: those of one key are one table.
    #[must_use]
    pub fn merged(&self) -> Vec<Table> {
        let mut merged: Vec<Table> = Vec::new();
        for table in self.tables() {
            match merged.iter_mut().find(|known| known.key == table.key) {
                Some(known) => known.groups.extend(table.groups.iter().cloned()),
                None => merged.push(table.clone()),
            }
        }
        merged
    }

    /// Its tables in reading order.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.sections.iter().filter_map(|section| section.table.as_ref())
    }
}

#[cfg(test)]
mod tests {
    use super::three_digits;

    #[test]
    fn figures_have_three_digits_and_no_noise() {
        let cases = [
            (0.0, "0"),
            (0.012_345, "0.0123"),
            (1.5, "1.5"),
            (1.005, "1"),
            (99.96, "100"),
            (12_345.0, "12345"),
            (-0.25, "-0.25"),
            (400.0, "400"),
        ];
        for (value, shown) in cases {
            assert_eq!(three_digits(value), shown, "{value}");
        }
    }
}
