//! Swaps as a matrix for each family: which plug fits whose place, and what that does.
//!
//! A row and a column for each connector, numbered; the names are at the rows. A cell says its grade by a letter and by how it is filled, so that
//! a black-and-white print reads the same.

use crate::{
    phrase::counted,
    render::{
        Checked,
        pictures::frame::{heading, notes},
    },
};
use harness_core::inspect::{FitRow, Grade, Swaps};
use harness_draw::{Anchor, Drawing, Ink, LineKind, Point, Rect, Sheet, Text};

/// Side of a cell, and of the box in it.
const CELL: f64 = 26.0;
const INSET: f64 = 3.0;
/// Connectors of one matrix; of more, those of the worst pairs are drawn.
pub const MOST: usize = 60;
/// Widest name.
const WIDEST: f64 = 300.0;
/// The grades in the order of the legend.
const GRADES: [Grade; 5] = [Grade::Danger, Grade::Damage, Grade::Unjudged, Grade::Mixed, Grade::Harmless];

/// The letter of a grade in a cell.
fn letter(grade: Grade) -> &'static str {
    match grade {
        Grade::Danger => "D",
        Grade::Damage => "X",
        Grade::Unjudged => "?",
        Grade::Mixed => "m",
        Grade::Harmless => "=",
    }
}

/// Draws the matrix.
#[must_use]
pub fn draw(checked: &Checked, swaps: &Swaps, matrix: &[FitRow]) -> Drawing {
    let title = format!("Plugs that fit each other's place: {}", checked.called());
    let counts = &swaps.counts;
    let about = format!(
        "pairs that fit and can reach each other: {}, of them {} dangerous, {} with damage, {} not judged, {} mixed up, {} harmless",
        counts.pairs, counts.danger, counts.damage, counts.unjudged, counts.mixed, counts.harmless
    );
    let mut sheet = Sheet::new("swaps", &title, &about);
    let mut y = heading(&mut sheet, &title, &[about]);
    y = legend(&mut sheet, y);
    if matrix.is_empty() {
        sheet.text(Point::new(0.0, y + 24.0), Anchor::Start, Text::plain("No plug fits another one's place."), None);
        y += 40.0;
    }
    for row in matrix {
        y = block(&mut sheet, row, y + 20.0);
    }
    notes(&mut sheet, y + 24.0, []);
    sheet.finish()
}

fn legend(sheet: &mut Sheet, y: f64) -> f64 {
    let mut x = 0.0;
    for grade in GRADES {
        cell(sheet, Point::new(x, y), grade, super::word(grade));
        let words = Text::small(super::word(grade));
        let width = words.width();
        sheet.text(Point::new(x + CELL + 4.0, y + 17.0), Anchor::Start, words, None);
        x += CELL + width + 28.0;
    }
    sheet.text(Point::new(x, y + 17.0), Anchor::Start, Text::small("empty: does not fit"), None);
    y + CELL
}

/// One family; how far it reaches down.
fn block(sheet: &mut Sheet, row: &FitRow, y: f64) -> f64 {
    let heading = format!("family {}, {}", row.family, counted(row.positions, "position"));
    let heading = match row.left_out {
        0 => heading,
        more => format!("{heading}; {} not drawn: in no pair, or in less severe ones", counted(more, "connector")),
    };
    let names: Vec<Text> = row.plugs.iter().map(|name| Text::plain(name).within(WIDEST)).collect();
    let left = names.iter().map(Text::width).fold(0.0, f64::max) + 40.0;
    let side = names.len() as f64 * CELL;
    sheet.text(Point::new(0.0, y + 18.0), Anchor::Start, Text::bold(heading).within(left + side.max(600.0)), None);
    let top = y + 50.0;
    for (at, name) in names.into_iter().enumerate() {
        let (start, number) = (at as f64 * CELL, (at + 1).to_string());
        sheet.text(Point::new(left + start + CELL / 2.0, top - 6.0), Anchor::Middle, Text::small(&number), None);
        sheet.text(Point::new(left - 8.0, top + start + 18.0), Anchor::End, Text::small(number), None);
        sheet.text(Point::new(left - 34.0, top + start + 18.0), Anchor::End, name, None);
        // A plug is in its own place.
        let corner = Point::new(left + start, top + start);
        sheet.line(LineKind::Rule, &[corner.by(6.0, CELL - 6.0), corner.by(CELL - 6.0, 6.0)], None);
    }
    for (first, second, grade) in &row.grades {
        let name = |of: &usize| row.plugs.get(*of).map_or("", String::as_str);
        let words = format!("{} and {}", name(first), name(second));
        for (column, line) in [(*first, *second), (*second, *first)] {
            cell(sheet, Point::new(left + column as f64 * CELL, top + line as f64 * CELL), *grade, &words);
        }
    }
    sheet.frame(LineKind::Outline, Rect::at(Point::new(left, top), side, side), None);
    top + side
}

fn cell(sheet: &mut Sheet, at: Point, grade: Grade, words: &str) {
    let (kind, ink) = match grade {
        Grade::Danger => (LineKind::Rule, Ink::White),
        Grade::Damage => (LineKind::Curve, Ink::Black),
        Grade::Unjudged | Grade::Mixed => (LineKind::Rule, Ink::Black),
        Grade::Harmless => (LineKind::Grid, Ink::Grey),
    };
    let thing = Some(sheet.thing(words, format!("{words}: {}", super::word(grade))));
    let rect = Rect::at(at.by(INSET, INSET), CELL - 2.0 * INSET, CELL - 2.0 * INSET);
    if grade == Grade::Danger {
        sheet.fill(Ink::Black, rect, thing);
    }
    sheet.frame(kind, rect, thing);
    sheet.text(at.by(CELL / 2.0, 18.0), Anchor::Middle, Text::plain(letter(grade)).ink(ink), thing);
}
