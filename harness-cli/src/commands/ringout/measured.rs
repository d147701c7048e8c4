//! A list of measured readings: which column is what, which rows are of which loom.

use super::list::{self, List};
use harness_core::bench::{MeasuredRow, RingOut};

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

impl Row {
    fn loom<'l>(&'l self, looms: &'l [String]) -> Option<&'l str> {
        list::loom_of(&self.row.loom, [&self.row.from, &self.row.to], looms)
    }
}

/// A list of measured readings.
#[derive(Debug)]
pub(super) struct Measured {
    rows: Vec<Row>,
    /// What is odd about its columns.
    pub(super) notes: Vec<String>,
}

impl Measured {
    /// Takes the readings from a list.
    ///
    /// # Errors
    /// If it has no column with readings or none with places.
    pub(super) fn of(list: &List) -> Result<Self, String> {
        let (from, to, step, loom) = (list.find(&["from"]), list.find(&["to"]), list.find(&["step"]), list.find(&["loom"]));
        let reading = list
            .find(&READINGS)
            .ok_or_else(|| format!("no column is called `measured`; there are `{}`", list.headings.join("`, `")))?;
        if step.is_none() && (from.is_none() || to.is_none()) {
            let board =
                if list.find(&["pattern"]).is_some() { "; what was seen on a lamp board needs `--lamp-board`" } else { "" };
            return Err(format!("it has neither the columns `from` and `to` nor the column `step`{board}"));
        }
        let mut measured = Self { rows: Vec::new(), notes: list.unread(&[&OURS, &READINGS, &["finds"]]) };
        for (line, cells) in &list.rows {
            let cell = |at: Option<usize>| at.and_then(|at| cells.get(at)).cloned().unwrap_or_default();
            let row = MeasuredRow { line: *line, loom: cell(loom), from: cell(from), to: cell(to), value: cell(Some(reading)) };
            let step = cell(step);
            if !(row.from.is_empty() && row.to.is_empty() && step.is_empty()) {
                measured.rows.push(Row { row, step });
            }
        }
        Ok(measured)
    }

    /// Whether a row names a loom, or a place of it.
    pub(super) fn is_of(&self, loom: &str, looms: &[String]) -> bool {
        let is_only = looms.len() == 1;
        self.rows.iter().any(|row| is_only || row.loom(looms) == Some(loom))
    }

    /// The rows that are of a loom, or of none by their names.
    pub(super) fn rows(&self, ring_out: &RingOut, looms: &[String]) -> Vec<MeasuredRow> {
        let mut rows = Vec::new();
        for own in self.rows.iter().filter(|row| row.loom(looms).is_none_or(|of| of == ring_out.loom)) {
            let Row { row, step } = own;
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
        list::strays(self.rows.iter().map(|row| (row.row.line, &row.row.loom)), looms)
    }
}

#[cfg(test)]
mod tests {
    use super::{super::list::List, Measured};

    fn measured(text: &str) -> Result<Measured, String> {
        Measured::of(&List::of(text).expect(text))
    }

    #[test]
    fn lists_of_several_sorts_are_read_and_what_is_not_is_said() {
        for text in ["from,to,measured\nfront.P1.1,front.P3.1,0.1\n", "\u{feff}To;From;Reading\nfront.P3.1;front.P1.1;0,1\n"] {
            let list = measured(text).expect(text);
            let row = &list.rows[0].row;
            assert_eq!((row.from.as_str(), row.to.as_str(), row.line), ("front.P1.1", "front.P3.1", 2), "{text}");
        }
        let list = measured("step,measured,remark\n1,0.1,warm\n").expect("by step");
        assert_eq!(list.rows[0].step, "1");
        assert!(list.notes[0].contains("`remark`"));
        assert!(measured("from,to\na,b\n").is_err_and(|why| why.contains("`measured`")));
        assert!(measured("measured\n0.1\n").is_err_and(|why| why.contains("`step`")));
        assert!(measured("pattern,point,measured\n1,P1.1,lit\n").is_err_and(|why| why.contains("--lamp-board")));
    }
}
