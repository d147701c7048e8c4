//! Loads as comma-separated values.

use super::rows::{ConductorRow, FuseRow};
use crate::{
    args::LoadsBy,
    render::{Checked, kit::printable},
};
use harness_core::inspect::Loads;
use std::{
    borrow::Cow,
    io::{self, Write},
};

/// Writes one table as comma-separated values with a heading, every figure in the unit that its heading names.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, loads: &Loads, by: LoadsBy, out: &mut dyn Write) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    let written = match by {
        LoadsBy::Fuse => loads.fuses.iter().try_for_each(|row| writer.serialize(FuseRow::new(checked, row, cell))),
        LoadsBy::Conductor => loads.conductors.iter().try_for_each(|row| writer.serialize(ConductorRow::new(checked, row, cell))),
    };
    written.map_err(|error| match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    })?;
    writer.flush()
}

/// What a table of calculation takes for the beginning of a formula, in narrow and in wide letters.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// A text as a cell: nothing in it steers what shows it, and where it begins like a formula an apostrophe is put before it, which
/// tables of calculation take for the mark of a text. A number stays one.
fn cell(text: &str) -> Cow<'_, str> {
    let shown = printable(text);
    let is_number = || shown.parse::<f64>().is_ok_and(f64::is_finite);
    if shown.trim_start().starts_with(FORMULA) && !is_number() { Cow::Owned(format!("'{shown}")) } else { shown }
}

#[cfg(test)]
mod tests {
    use super::cell;

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
