//! The face of a connector on its sheet: the picture, and the same in words.

use crate::render::{kit::paper::Picture, pictures::faces};
use harness_core::bench::EndSheet;
use harness_draw::Links;

/// Both views; `None` where the face, or the side from which it is seen, is not given.
pub(crate) fn picture(sheet: &EndSheet) -> Option<Picture> {
    let svg = faces::draw(sheet)?.svg(&Links::none());
    Some(Picture { svg, words: words(sheet) })
}

/// Both views as rows of labels, each named.
fn words(sheet: &EndSheet) -> Vec<String> {
    let Some(faces) = &sheet.faces else { return Vec::new() };
    let mut lines = Vec::new();
    for (name, rows) in [("mating face", &faces.mating), ("wire side", &faces.wire)] {
        lines.push(format!("  {name}:"));
        let width = rows.iter().flatten().map(|label| label.chars().count()).max().unwrap_or(1);
        let longest = rows.iter().map(Vec::len).max().unwrap_or(0);
        for row in rows {
            let indent = " ".repeat((longest - row.len()) * (width + 3) / 2);
            let cells: Vec<String> = row.iter().map(|label| format!("[{label:>width$}]")).collect();
            lines.push(format!("    {indent}{}", cells.join(" ")));
        }
    }
    lines
}
