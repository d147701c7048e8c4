//! Cells of comma-separated values that no table of calculation takes for a formula.

use super::printable;
use serde::Serialize;
use std::{
    borrow::Cow,
    io::{self, Write},
};

/// What a table of calculation takes for the beginning of a formula, in narrow and in wide letters.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// A text as a cell: nothing in it steers what shows it, and where it begins like a formula an apostrophe is put before it, which
/// tables of calculation take for the mark of a text. A number stays one.
pub(crate) fn cell(text: &str) -> Cow<'_, str> {
    let shown = printable(text);
    let is_number = || shown.parse::<f64>().is_ok_and(f64::is_finite);
    if shown.trim_start().starts_with(FORMULA) && !is_number() { Cow::Owned(format!("'{shown}")) } else { shown }
}

/// Writes rows below their heading, which is there without rows too: nothing found is not the same as nothing written.
///
/// # Errors
/// If `out` can't be written.
pub(crate) fn sheet<R: Serialize + Default>(rows: impl IntoIterator<Item = R>, out: &mut dyn Write) -> io::Result<()> {
    let failed = |error: csv::Error| match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    };
    let mut rows = rows.into_iter().peekable();
    if rows.peek().is_none() {
        let mut scratch = csv::Writer::from_writer(Vec::new());
        scratch.serialize(R::default()).map_err(failed)?;
        let text = scratch.into_inner().map_err(|error| io::Error::other(error.to_string()))?;
        let heading = text.split_inclusive(|byte| *byte == b'\n').next().unwrap_or_default();
        return out.write_all(heading);
    }
    let mut writer = csv::Writer::from_writer(out);
    rows.try_for_each(|row| writer.serialize(row)).map_err(failed)?;
    writer.flush()
}

#[cfg(test)]
mod tests {
    use super::{cell, sheet};

    #[derive(serde::Serialize, Default)]
    struct Two {
        name: String,
        volts: Option<f64>,
    }

    #[test]
    fn the_heading_is_there_without_rows() {
        let written = |rows: Vec<Two>| {
            let mut out = Vec::new();
            sheet(rows, &mut out).expect("a list can be written");
            String::from_utf8(out).expect("text")
        };
        assert_eq!(written(Vec::new()), "name,volts\n");
        assert_eq!(written(vec![Two { name: "F1".to_owned(), volts: Some(12.5) }]), "name,volts\nF1,12.5\n");
    }

    #[test]
    fn no_cell_is_a_formula() {
        let formulas = ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "＝1", " =1", "-", "+5V", "-F1"];
        for text in formulas {
            assert_eq!(cell(text), format!("'{text}"));
        }
        assert_eq!(cell("\t=1"), "␉=1");
        assert_eq!(cell("\r\n=1"), "␍␊=1");
        for text in ["-12", "+5", "-1.5e-3", "F1", "a=b", "front.107", ""] {
            assert_eq!(cell(text), text);
        }
    }
}
