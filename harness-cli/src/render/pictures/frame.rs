//! What all pictures share: a heading, and what is said below the drawing.

use crate::render::kit::{caution::SHORT_CAUTION, printable};
use harness_draw::{Anchor, Ink, LineKind, Point, Sheet, Text, broken};

/// The width of a sheet of paper in landscape, inside its margins.
pub(crate) const WIDE: f64 = 1012.0;
/// The size of a title.
const TITLE: f64 = 20.0;
/// Between two base lines of small text.
const LEADING: f64 = 16.0;

/// Writes what the picture is of, and what is said of it all, from the upper edge at 0; gives where the drawing may begin.
pub(crate) fn heading(sheet: &mut Sheet, title: &str, about: &[String]) -> f64 {
    let mut y = -4.0;
    for line in broken(&printable(title), TITLE, true, WIDE) {
        y += TITLE + 2.0;
        sheet.text(Point::new(0.0, y), Anchor::Start, Text::title(line), None);
    }
    y += 2.0;
    let lines = about.iter().flat_map(|line| broken(&printable(&plain(line)), 12.0, false, WIDE));
    for line in lines {
        y += LEADING + 2.0;
        sheet.text(Point::new(0.0, y), Anchor::Start, Text::small(line), None);
    }
    y + 10.0
}

/// Says that the sheet shows voltage class B, as wide lines if it `has_lines`, below a heading that ends at `y`; gives where the drawing may begin.
pub(crate) fn class_b(sheet: &mut Sheet, y: f64, has_lines: bool) -> f64 {
    sheet.warning(Point::new(0.0, y));
    let words = if has_lines { "voltage class B: wide lines" } else { "voltage class B" };
    sheet.text(Point::new(36.0, y + 18.0), Anchor::Start, Text::bold(words).ink(Ink::ClassB), None);
    y + 36.0
}

/// A text of the design or of a figure as a picture has it: units as people write them, no marks of code.
pub(crate) fn plain(text: &str) -> String {
    let spelt = [
        ("mm2", "mm²"),
        ("degC", "°C"),
        (" ohm", " Ω"),
        (" kohm", " kΩ"),
        (" mohm", " mΩ"),
        (" Mohm", " MΩ"),
        (" uohm", " µΩ"),
        (" uA", " µA"),
        (" uV", " µV"),
        (" uF", " µF"),
        (" uH", " µH"),
        (" us", " µs"),
    ];
    let mut text = text.replace('`', "");
    for (own, spelt) in spelt {
        // A unit ends a word: a name may hold its letters.
        let mut shown = String::with_capacity(text.len());
        let mut rest = text.as_str();
        while let Some(at) = rest.find(own) {
            let (before, after) = (rest.get(..at).unwrap_or_default(), rest.get(at + own.len()..).unwrap_or_default());
            let is_unit = !after.starts_with(|ch: char| ch.is_alphanumeric() || ch == '-' || ch == '_')
                && (own.starts_with(' ') || before.ends_with(' '))
                && before.trim_end().ends_with(|ch: char| ch.is_ascii_digit());
            shown.push_str(before);
            shown.push_str(if is_unit { spelt } else { own });
            rest = after;
        }
        shown.push_str(rest);
        text = shown;
    }
    text
}

/// Writes lines below the drawing, a rule above them, and the caution as the last; gives where they end.
pub(crate) fn notes(sheet: &mut Sheet, top: f64, lines: impl IntoIterator<Item = String>) -> f64 {
    sheet.line(LineKind::Rule, &[Point::new(0.0, top), Point::new(WIDE, top)], None);
    let mut y = top + 4.0;
    for line in lines.into_iter().chain([SHORT_CAUTION.to_owned()]) {
        for piece in broken(&printable(&plain(&line)), 12.0, false, WIDE) {
            y += LEADING;
            sheet.text(Point::new(0.0, y), Anchor::Start, Text::small(piece), None);
        }
    }
    y
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn units_are_spelt_as_people_write_them_and_names_stay() {
        assert_eq!(
            plain("0.75 mm2: `front.mm2` at 60 degC, 99.9 ohm, 600 uF, 4 mohm"),
            "0.75 mm²: front.mm2 at 60 °C, 99.9 Ω, 600 µF, 4 mΩ"
        );
        assert_eq!(plain("5 ohmic mm2-9"), "5 ohmic mm2-9");
    }
}
