//! A list of what was seen on a lamp board: a row for each lamp of each pattern, or a row for each pattern with all lamps that were lit.

use super::list::{self, List};
use harness_core::bench::LampRow;

/// Headings of the column with what a lamp did.
const SEEN: [&str; 4] = ["measured", "reading", "seen", "value"];
/// Headings of the column with all lamps that were lit.
const LIT: [&str; 2] = ["lit", "lamps_lit"];
/// Columns of our own table that say nothing of what was seen, and those that are always read.
const OURS: [&str; 5] = ["pattern", "loom", "point", "switch", "lamp"];

/// A row with the loom that it names.
#[derive(Debug)]
struct Row {
    row: LampRow,
    loom: String,
}

impl Row {
    fn loom<'l>(&'l self, looms: &'l [String]) -> Option<&'l str> {
        list::loom_of(&self.loom, self.row.lit.iter().flatten().chain([&self.row.point]), looms)
    }
}

/// What was seen on a lamp board.
#[derive(Debug)]
pub(super) struct Lamps {
    rows: Vec<Row>,
    /// What is odd about its columns.
    pub(super) notes: Vec<String>,
}

impl Lamps {
    /// Takes what was seen from a list.
    ///
    /// # Errors
    /// If it has no column with patterns, or none with what was seen.
    pub(super) fn of(list: &List) -> Result<Self, String> {
        let there = || format!("there are `{}`", list.headings.join("`, `"));
        let pattern = list.find(&["pattern"]).ok_or_else(|| format!("no column is called `pattern`; {}", there()))?;
        let (point, seen, lit, loom) = (list.find(&["point"]), list.find(&SEEN), list.find(&LIT), list.find(&["loom"]));
        if lit.is_none() && (point.is_none() || seen.is_none()) {
            return Err(format!(
                "it has neither the columns `point` and `measured`, a row for each lamp, nor the column `lit`, a row for each pattern; {}",
                there()
            ));
        }
        let mut lamps = Self { rows: Vec::new(), notes: list.unread(&[&OURS, &SEEN, &LIT]) };
        for (line, cells) in &list.rows {
            let cell = |at: Option<usize>| at.and_then(|at| cells.get(at)).cloned().unwrap_or_default();
            let lit = lit.filter(|_| cell(point).is_empty()).map(|lit| {
                let names = cells.get(lit).map(String::as_str).unwrap_or_default();
                names.split([' ', ',', ';', '|', '\t', '\n']).filter(|name| !name.is_empty()).map(str::to_owned).collect()
            });
            let row = LampRow { line: *line, pattern: cell(Some(pattern)), point: cell(point), value: cell(seen), lit };
            if cells.iter().any(|cell| !cell.is_empty()) {
                lamps.rows.push(Row { row, loom: cell(loom) });
            }
        }
        Ok(lamps)
    }

    /// Whether a row names a loom, or a place of it.
    pub(super) fn is_of(&self, loom: &str, looms: &[String]) -> bool {
        let is_only = looms.len() == 1;
        self.rows.iter().any(|row| is_only || row.loom(looms) == Some(loom))
    }

    /// The rows that are of a loom, or of none by their names.
    pub(super) fn rows(&self, loom: &str, looms: &[String]) -> Vec<LampRow> {
        let own = self.rows.iter().filter(|row| row.loom(looms).is_none_or(|of| of == loom));
        own.map(|row| row.row.clone()).collect()
    }

    /// Rows that name a loom that the design does not have.
    pub(super) fn strays(&self, looms: &[String]) -> Vec<String> {
        list::strays(self.rows.iter().map(|row| (row.row.line, &row.loom)), looms)
    }
}

#[cfg(test)]
mod tests {
    use super::{super::list::List, Lamps};

    fn lamps(text: &str) -> Result<Lamps, String> {
        Lamps::of(&List::of(text).expect(text))
    }

    #[test]
    fn a_row_for_each_lamp_and_a_row_for_each_pattern_are_read() {
        let list = lamps("pattern,loom,point,switch,lamp,measured\n1,front,front.P1.1,on,lit,lit\n").expect("by lamp");
        let row = &list.rows[0].row;
        assert_eq!((row.pattern.as_str(), row.point.as_str(), row.value.as_str()), ("1", "front.P1.1", "lit"));
        assert!(row.lit.is_none() && list.notes.is_empty());
        let list = lamps("Pattern;Lit;remark\n2;front.P1.1 front.P2.3;warm\n3;;\n").expect("by pattern");
        assert_eq!(list.rows[0].row.lit, Some(vec!["front.P1.1".to_owned(), "front.P2.3".to_owned()]));
        assert_eq!(list.rows[1].row.lit, Some(Vec::new()));
        assert!(list.notes[0].contains("`remark`"));
        assert!(lamps("pattern,point\n1,a\n").is_err_and(|why| why.contains("`lit`")));
        assert!(lamps("step,lit\n1,a\n").is_err_and(|why| why.contains("`pattern`")));
    }
}
