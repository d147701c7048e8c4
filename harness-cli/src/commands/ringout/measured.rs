//! A list of measured readings: which column is what, which rows are of which loom.

use crate::{failure::Failure, source::input};
use harness_core::bench::{MeasuredRow, RingOut};
use std::path::Path;

/// Headings of the column with the readings.
const READINGS: [&str; 4] = ["measured", "reading", "measured_ohm", "value"];
/// Columns of our own table that say nothing of what was read.
const OURS: [&str; 11] =
    ["step", "loom", "from", "to", "expect", "expected_ohm", "least_ohm", "most_ohm", "drop_V", "through", "serves"];

/// A row with the number of its step, where it gives one.
#[derive(Debug)]
struct Row {
    row: MeasuredRow,
    step: String,
}

/// A list of measured readings.
#[derive(Debug)]
pub(super) struct Measured {
    rows: Vec<Row>,
    /// What is odd about its columns.
    pub(super) notes: Vec<String>,
}

impl Measured {
    /// Reads a list.
    ///
    /// # Errors
    /// If the file can't be read, or has no column with readings or none with places.
    pub(super) fn read(path: &Path) -> Result<Self, Failure> {
        let told = |why: String| Failure::Told(format!("read `{}`: {why}", path.display()));
        let bytes = input::file(path).map_err(|unread| told(unread.why()))?;
        let text = String::from_utf8(bytes).map_err(|_| told("it is not text in UTF-8".to_owned()))?;
        Self::of(&text).map_err(told)
    }

    fn of(text: &str) -> Result<Self, String> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
        let count = |delimiter: char| head.matches(delimiter).count();
        let delimiter =
            [',', ';', '\t'].into_iter().max_by_key(|delimiter| (count(*delimiter), *delimiter == ',')).unwrap_or(',');
        let mut reader = csv::ReaderBuilder::new().delimiter(delimiter as u8).flexible(true).from_reader(text.as_bytes());
        let headings: Vec<String> =
            reader.headers().map_err(|error| error.to_string())?.iter().map(|heading| heading.trim().to_owned()).collect();
        let find =
            |names: &[&str]| headings.iter().position(|heading| names.iter().any(|name| heading.eq_ignore_ascii_case(name)));
        let (from, to, step, loom) = (find(&["from"]), find(&["to"]), find(&["step"]), find(&["loom"]));
        let reading =
            find(&READINGS).ok_or_else(|| format!("no column is called `measured`; there are `{}`", headings.join("`, `")))?;
        if step.is_none() && (from.is_none() || to.is_none()) {
            return Err("it has neither the columns `from` and `to` nor the column `step`".to_owned());
        }
        let is_known =
            |heading: &String| OURS.contains(&heading.as_str()) || READINGS.contains(&heading.as_str()) || heading == "finds";
        let unread: Vec<String> = headings
            .iter()
            .filter(|heading| !heading.is_empty() && !is_known(heading))
            .map(|heading| format!("`{heading}`"))
            .collect();
        let mut list = Self { rows: Vec::new(), notes: Vec::new() };
        if !unread.is_empty() {
            list.notes.push(format!("what the list says in {}: these columns are not read", unread.join(", ")));
        }
        for record in reader.records() {
            let record = record.map_err(|error| error.to_string())?;
            let line = record.position().map_or(0, |position| usize::try_from(position.line()).unwrap_or(usize::MAX));
            // A table for spreadsheets marks a text that would be taken for a formula.
            let cell = |at: Option<usize>| {
                let text = at.and_then(|at| record.get(at)).unwrap_or_default().trim();
                text.strip_prefix('\'').unwrap_or(text).to_owned()
            };
            let row = MeasuredRow { line, loom: cell(loom), from: cell(from), to: cell(to), value: cell(Some(reading)) };
            let step = cell(step);
            if !(row.from.is_empty() && row.to.is_empty() && step.is_empty()) {
                list.rows.push(Row { row, step });
            }
        }
        Ok(list)
    }

    /// Whether a row names a loom, or a place of it.
    pub(super) fn is_of(&self, loom: &str, looms: &[String]) -> bool {
        let is_only = looms.len() == 1;
        self.rows.iter().any(|row| is_only || loom_of(&row.row, looms) == Some(loom))
    }

    /// The rows that are of a loom, or of none by their names.
    pub(super) fn rows(&mut self, ring_out: &RingOut, looms: &[String]) -> Vec<MeasuredRow> {
        let mut rows = Vec::new();
        for Row { row, step } in &self.rows {
            if loom_of(row, looms).is_some_and(|loom| loom != ring_out.loom) {
                continue;
            }
            let mut row = MeasuredRow { loom: String::new(), ..row.clone() };
            let number: Option<usize> = step.parse().ok();
            let planned = number.and_then(|number| ring_out.steps.get(number.checked_sub(1)?));
            if let (true, Some(planned)) = (row.from.is_empty() && row.to.is_empty(), planned) {
                row.from.clone_from(&planned.from);
                row.to.clone_from(&planned.to);
            }
            rows.push(row);
        }
        rows
    }

    /// Rows that name a loom that the design does not have.
    pub(super) fn strays(&self, looms: &[String]) -> Vec<String> {
        let strays = self.rows.iter().map(|row| &row.row).filter(|row| !row.loom.is_empty() && !looms.contains(&row.loom));
        strays.map(|row| format!("line {}: the design has no loom `{}`", row.line, row.loom)).collect()
    }
}

/// The loom that a row names, or that its first place begins with.
fn loom_of<'l>(row: &'l MeasuredRow, looms: &'l [String]) -> Option<&'l str> {
    if !row.loom.is_empty() {
        return Some(&row.loom);
    }
    [&row.from, &row.to].into_iter().find_map(|place| {
        let (loom, _) = place.split_once('.')?;
        looms.iter().find(|known| *known == loom).map(String::as_str)
    })
}

#[cfg(test)]
mod tests {
    use super::Measured;

    #[test]
    fn lists_of_several_sorts_are_read_and_what_is_not_is_said() {
        for text in ["from,to,measured\nfront.P1.1,front.P3.1,0.1\n", "\u{feff}To;From;Reading\nfront.P3.1;front.P1.1;0,1\n"] {
            let list = Measured::of(text).expect(text);
            let row = &list.rows[0].row;
            assert_eq!((row.from.as_str(), row.to.as_str(), row.line), ("front.P1.1", "front.P3.1", 2), "{text}");
        }
        let list = Measured::of("step,measured,remark\n1,0.1,warm\n").expect("by step");
        assert_eq!(list.rows[0].step, "1");
        assert!(list.notes[0].contains("`remark`"));
        assert!(Measured::of("from,to\na,b\n").is_err_and(|why| why.contains("`measured`")));
        assert!(Measured::of("measured\n0.1\n").is_err_and(|why| why.contains("`step`")));
    }
}
