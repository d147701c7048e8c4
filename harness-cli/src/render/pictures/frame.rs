//! What all pictures share: a heading, and what is said below the drawing.

use crate::render::kit::{caution::SHORT_CAUTION, printable};
use harness_draw::{Anchor, LineKind, Point, Sheet, Text, broken};

/// The width of a sheet of paper in landscape, inside its margins.
pub(crate) const WIDE: f64 = 1012.0;
/// Between two base lines of small text.
const LEADING: f64 = 16.0;

/// Writes what the picture is of, and what is said of it all, from the upper edge at 0; gives where the drawing may begin.
pub(crate) fn heading(sheet: &mut Sheet, title: &str, about: &[String]) -> f64 {
    sheet.text(Point::new(0.0, 18.0), Anchor::Start, Text::title(title).within(WIDE), None);
    let lines = about.iter().flat_map(|line| broken(&printable(line), 12.0, false, WIDE));
    let mut y = 20.0;
    for line in lines {
        y += LEADING + 2.0;
        sheet.text(Point::new(0.0, y), Anchor::Start, Text::small(line), None);
    }
    y + 10.0
}

/// Writes lines below the drawing, a rule above them, and the caution as the last; gives where they end.
pub(crate) fn notes(sheet: &mut Sheet, top: f64, lines: impl IntoIterator<Item = String>) -> f64 {
    sheet.line(LineKind::Rule, &[Point::new(0.0, top), Point::new(WIDE, top)], None);
    let mut y = top + 4.0;
    for line in lines.into_iter().chain([SHORT_CAUTION.to_owned()]) {
        for piece in broken(&printable(&line), 12.0, false, WIDE) {
            y += LEADING;
            sheet.text(Point::new(0.0, y), Anchor::Start, Text::small(piece), None);
        }
    }
    y
}
