//! Swaps as a matrix for each family: which plug fits whose place, and what that does.
//!
//! A row and a column for each connector, numbered; the names are at the rows. A cell says its grade by a letter and by how it is filled, so that
//! a black-and-white print reads the same. Places are whole numbers, so the same design gives the same bytes.

use crate::{
    phrase::counted,
    render::{
        Checked,
        kit::{caution::SHORT_CAUTION, xml::escaped},
    },
};
use harness_core::inspect::{FitRow, Grade, Swaps};
use std::fmt::Write;
use unicode_width::UnicodeWidthStr;

/// Side of a cell.
const CELL: usize = 26;
/// Height of a line of text.
const LINE: usize = 20;
/// Margin of the page.
const EDGE: usize = 28;
/// Width of a letter at the size of names, wide for a sans-serif, so that no font runs over.
const LETTER: usize = 9;
/// Connectors of one matrix; of more, those of the worst pairs are drawn.
pub const MOST: usize = 60;
/// Letters of a name; a longer one loses its middle.
const LONGEST: usize = 34;

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
pub fn draw(checked: &Checked, swaps: &Swaps, matrix: &[FitRow]) -> String {
    let mut body = String::new();
    let mut width = 760;
    let title = format!("Plugs that fit each other's place: {}", checked.called());
    let counts = &swaps.counts;
    let about = format!(
        "pairs that fit and can reach each other: {}, of them {} dangerous, {} with damage, {} not judged, {} mixed up, {} harmless",
        counts.pairs, counts.danger, counts.damage, counts.unjudged, counts.mixed, counts.harmless
    );
    let mut y = EDGE + 20;
    text(&mut body, (EDGE, y), 20, true, &clipped(&title, 80));
    y += LINE + 8;
    text(&mut body, (EDGE, y), 14, false, &about);
    width = width.max(EDGE * 2 + about.width() * LETTER);
    y += LINE + 4;
    y = legend(&mut body, y);
    if matrix.is_empty() {
        text(&mut body, (EDGE, y + LINE), 14, false, "No plug fits another one's place.");
        y += 2 * LINE;
    }
    for row in matrix {
        let (right, below) = block(&mut body, row, y + LINE);
        width = width.max(right + EDGE);
        y = below;
    }
    y += LINE;
    for line in crate::render::kit::wrap(SHORT_CAUTION, (width - 2 * EDGE) / (LETTER - 1)) {
        y += LINE;
        text(&mut body, (EDGE, y), 12, false, &line);
    }
    let height = y + EDGE;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}mm\" height=\"{}mm\" viewBox=\"0 0 {width} {height}\" font-family=\"sans-serif\" \
         role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n{body}</svg>\n",
        width / 4,
        height / 4,
        escaped(&title),
        escaped(&about)
    )
}

fn legend(body: &mut String, y: usize) -> usize {
    let entries = [
        (Grade::Danger, "danger"),
        (Grade::Damage, "damage"),
        (Grade::Unjudged, "not judged"),
        (Grade::Mixed, "mixed up"),
        (Grade::Harmless, "harmless"),
    ];
    let mut x = EDGE;
    for (grade, words) in entries {
        cell(body, (x, y), grade, words);
        text(body, (x + CELL + 6, y + 18), 14, false, words);
        x += CELL + 6 + words.width() * LETTER + 20;
    }
    text(body, (x, y + 18), 14, false, "empty: does not fit");
    y + CELL + 6
}

/// One family; how far it reaches to the right and down.
fn block(body: &mut String, row: &FitRow, y: usize) -> (usize, usize) {
    let names: Vec<String> =
        row.plugs.iter().enumerate().map(|(at, name)| format!("{}  {}", clipped(name, LONGEST), at + 1)).collect();
    let heading = format!("family {}, {}", row.family, counted(row.positions, "position"));
    let heading = match row.left_out {
        0 => heading,
        more => format!("{heading}; {} not drawn: in no pair, or in less severe ones", counted(more, "connector")),
    };
    let mut y = y + LINE;
    text(body, (EDGE, y), 14, true, &clipped(&heading, 90));
    y += 10;
    let left = EDGE + names.iter().map(|name| name.width() * LETTER).max().unwrap_or(0) + 8;
    for at in 0..names.len() {
        middle(body, (left + at * CELL + CELL / 2, y + 16), &(at + 1).to_string());
    }
    let top = y + LINE + 2;
    for (at, name) in names.iter().enumerate() {
        right(body, (left - 8, top + at * CELL + 18), name);
    }
    for (first, second, grade) in &row.grades {
        let name = |of: &usize| row.plugs.get(*of).map_or("", String::as_str);
        let words = format!("{} and {}", name(first), name(second));
        for (column, line) in [(*first, *second), (*second, *first)] {
            cell(body, (left + column * CELL, top + line * CELL), *grade, &words);
        }
    }
    // The diagonal: a plug is in its own place.
    for at in 0..names.len() {
        let (x, y) = (left + at * CELL, top + at * CELL);
        let _ = writeln!(
            body,
            "<path d=\"M{} {}L{} {}\" stroke=\"#777777\" stroke-width=\"1\"/>",
            x + 6,
            y + CELL - 6,
            x + CELL - 6,
            y + 6
        );
    }
    let side = names.len() * CELL;
    let _ = writeln!(
        body,
        "<rect x=\"{left}\" y=\"{top}\" width=\"{side}\" height=\"{side}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"1.4\"/>"
    );
    let to_heading = EDGE + clipped(&heading, 90).width() * LETTER;
    ((left + side).max(to_heading), top + side)
}

fn cell(body: &mut String, (x, y): (usize, usize), grade: Grade, words: &str) {
    let (fill, ink, thick) = match grade {
        Grade::Danger => ("#000000", "#ffffff", "1"),
        Grade::Damage => ("#ffffff", "#000000", "2.8"),
        Grade::Unjudged | Grade::Mixed => ("#ffffff", "#000000", "1"),
        Grade::Harmless => ("#ffffff", "#5a5a5a", "0.5"),
    };
    let (box_x, box_y, side) = (x + 3, y + 3, CELL - 6);
    // Writing to a string can't fail.
    let _ = writeln!(
        body,
        "<g><title>{}: {}</title><rect x=\"{box_x}\" y=\"{box_y}\" width=\"{side}\" height=\"{side}\" fill=\"{fill}\" stroke=\"#000000\" \
         stroke-width=\"{thick}\"/><text x=\"{}\" y=\"{}\" font-size=\"14\" text-anchor=\"middle\" fill=\"{ink}\">{}</text></g>",
        escaped(words),
        super::word(grade),
        x + CELL / 2,
        y + 18,
        letter(grade)
    );
}

fn text(body: &mut String, (x, y): (usize, usize), size: usize, bold: bool, words: &str) {
    let weight = if bold { " font-weight=\"bold\"" } else { "" };
    let _ = writeln!(body, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{weight}>{}</text>", escaped(words));
}

fn middle(body: &mut String, (x, y): (usize, usize), words: &str) {
    let _ = writeln!(body, "<text x=\"{x}\" y=\"{y}\" font-size=\"12\" text-anchor=\"middle\">{}</text>", escaped(words));
}

fn right(body: &mut String, (x, y): (usize, usize), words: &str) {
    let _ = writeln!(
        body,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"14\" text-anchor=\"end\" xml:space=\"preserve\">{}</text>",
        escaped(words)
    );
}

/// A text without its middle where it is too long.
fn clipped(text: &str, most: usize) -> String {
    crate::render::trace::picture::shortened(text, most)
}
