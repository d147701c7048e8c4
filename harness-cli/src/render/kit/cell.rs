//! A text as a cell of comma-separated values.

use super::printable;
use std::borrow::Cow;

/// What a table of calculation takes for the beginning of a formula, in narrow and in wide letters.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// A text as a cell: nothing in it steers what shows it, and where it begins like a formula an apostrophe is put before it, which
/// tables of calculation take for the mark of a text. A number stays one.
pub(crate) fn cell(text: &str) -> Cow<'_, str> {
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
