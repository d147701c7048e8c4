//! A list that somebody filled in, as comma-separated values: its headings, its rows, which loom a row is of.

use crate::{failure::Failure, source::input};
use std::path::Path;

/// Headings, and rows with their lines in the file.
#[derive(Debug)]
pub(super) struct List {
    pub(super) headings: Vec<String>,
    pub(super) rows: Vec<(usize, Vec<String>)>,
}

impl List {
    /// Reads a list.
    ///
    /// # Errors
    /// If the file can't be read as comma-separated text.
    pub(super) fn read(path: &Path) -> Result<Self, Failure> {
        let bytes = input::file(path).map_err(|unread| Self::failed(path, &unread.why()))?;
        let text = String::from_utf8(bytes).map_err(|_| Self::failed(path, "it is not text in UTF-8"))?;
        Self::of(&text).map_err(|why| Self::failed(path, &why))
    }

    /// Why nothing comes of a list.
    pub(super) fn failed(path: &Path, why: &str) -> Failure {
        Failure::Told(format!("read `{}`: {why}", path.display()))
    }

    pub(super) fn of(text: &str) -> Result<Self, String> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
        let count = |delimiter: char| head.matches(delimiter).count();
        let delimiter =
            [',', ';', '\t'].into_iter().max_by_key(|delimiter| (count(*delimiter), *delimiter == ',')).unwrap_or(',');
        let mut reader = csv::ReaderBuilder::new().delimiter(delimiter as u8).flexible(true).from_reader(text.as_bytes());
        let headings: Vec<String> =
            reader.headers().map_err(|error| error.to_string())?.iter().map(|heading| heading.trim().to_owned()).collect();
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| error.to_string())?;
            let line = record.position().map_or(0, |position| usize::try_from(position.line()).unwrap_or(usize::MAX));
            // A table for spreadsheets marks a text that would be taken for a formula.
            let cell = |text: &str| text.trim().strip_prefix('\'').unwrap_or(text.trim()).to_owned();
            rows.push((line, record.iter().map(cell).collect()));
        }
        Ok(Self { headings, rows })
    }

    /// The column with one of these headings.
    pub(super) fn find(&self, names: &[&str]) -> Option<usize> {
        self.headings.iter().position(|heading| names.iter().any(|name| heading.eq_ignore_ascii_case(name)))
    }

    /// The columns of other headings, as a note; none where there are none.
    pub(super) fn unread(&self, known: &[&[&str]]) -> Vec<String> {
        let is_known = |heading: &String| known.iter().flat_map(|names| *names).any(|name| heading.eq_ignore_ascii_case(name));
        let unread: Vec<String> = self
            .headings
            .iter()
            .filter(|heading| !heading.is_empty() && !is_known(heading))
            .map(|heading| format!("`{heading}`"))
            .collect();
        let note =
            (!unread.is_empty()).then(|| format!("what the list says in {}: these columns are not read", unread.join(", ")));
        note.into_iter().collect()
    }
}

/// The loom that a row names, or that one of its places begins with.
pub(super) fn loom_of<'l, 'p>(
    named: &'l str,
    places: impl IntoIterator<Item = &'p String>,
    looms: &'l [String],
) -> Option<&'l str> {
    if !named.is_empty() {
        return Some(named);
    }
    places.into_iter().find_map(|place| {
        let (loom, _) = place.split_once('.')?;
        looms.iter().find(|known| *known == loom).map(String::as_str)
    })
}

/// Rows that name a loom that the design does not have.
pub(super) fn strays<'r>(rows: impl Iterator<Item = (usize, &'r String)>, looms: &[String]) -> Vec<String> {
    let strays = rows.filter(|(_, loom)| !loom.is_empty() && !looms.contains(loom));
    strays.map(|(line, loom)| format!("line {line}: the design has no loom `{loom}`")).collect()
}
