//! The face of a connector from both sides, each view named, drawn to be read in black alone.
//!
//! One unit is a quarter of a millimetre on paper. The mating face is left and the wire side right with the mirror line between; a face that is
//! too wide for that has them one below the other. The wire side is the mirror of the mating face by construction.

use crate::render::kit::{paper::Picture, printable, xml::escaped};
use harness_core::bench::{CavityUse, Contacts, EndSheet, SheetCavity};
use std::fmt::Write;

/// Width of a sheet.
const SHEET: f64 = 752.0;
/// Between the two views.
const GAP: f64 = 64.0;
/// The largest and the smallest cavity.
const LARGEST: f64 = 60.0;
const SMALLEST: f64 = 26.0;
/// From the rim of the housing to its cavities.
const RIM: f64 = 14.0;
/// Room above a view for its name, and for a latch or key.
const NAME: f64 = 42.0;
const MARK_ABOVE: f64 = 32.0;
/// Room below a view, and for a latch or key there.
const FOOT: f64 = 8.0;
const MARK_BELOW: f64 = 22.0;
/// Width of a letter of the small text, with what another font may need.
const LETTER: f64 = 7.6;

/// Which view.
#[derive(Clone, Copy, PartialEq, Eq)]
enum View {
    Mating,
    Wire,
}

/// A side of the face on which a latch or key sits.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Top,
    Bottom,
    Left,
    Right,
}

impl Side {
    /// The side that words name; other words stay words.
    fn named(text: &str) -> Option<Self> {
        match text.trim().to_lowercase().as_str() {
            "top" | "above" | "up" => Some(Self::Top),
            "bottom" | "below" | "down" => Some(Self::Bottom),
            "left" => Some(Self::Left),
            "right" => Some(Self::Right),
            _ => None,
        }
    }

    fn mirrored(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            same => same,
        }
    }
}

/// Both views; `None` where the face, or the side from which it is seen, is not given.
pub(crate) fn picture(sheet: &EndSheet) -> Option<Picture> {
    let faces = sheet.faces.as_ref()?;
    let columns = faces.mating.iter().map(Vec::len).max().filter(|columns| *columns > 0)? as f64;
    let rows = faces.mating.len() as f64;
    let beside = ((SHEET - GAP) / 2.0 - 2.0 * RIM - 24.0) / columns;
    let (cell, is_beside) = if beside >= SMALLEST + 8.0 {
        (beside.min(LARGEST).floor(), true)
    } else {
        (((SHEET - 2.0 * RIM - 24.0) / columns).clamp(SMALLEST, LARGEST).floor(), false)
    };
    let has_mark = |side: Side| [&sheet.latch_at, &sheet.key[1]].into_iter().any(|text| Side::named(text) == Some(side));
    let above = NAME + if has_mark(Side::Top) { MARK_ABOVE } else { 0.0 };
    let below = FOOT + if has_mark(Side::Bottom) { MARK_BELOW } else { 0.0 };
    let width = columns * cell + 2.0 * RIM;
    let height = rows * cell + 2.0 * RIM;
    let (second_x, second_y, full_width, full_height) = if is_beside {
        (12.0 + width + GAP, 0.0, 24.0 + 2.0 * width + GAP, above + height + below)
    } else {
        (12.0, above + height + below, 24.0 + width, 2.0 * (above + height + below))
    };
    let full_width = full_width.max(360.0);
    let mut svg = String::new();
    let title = escaped(&format!("Faces of {}", sheet.name));
    let said = escaped(&format!(
        "The mating face and the wire side of {}, {} rows; the wire side is the mirror image of the mating face.",
        sheet.name,
        faces.mating.len()
    ));
    let _ = write!(
        svg,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {full_width} {full_height}\" width=\"{}mm\" height=\"{}mm\" role=\"img\" \
         font-family=\"DejaVu Sans, Liberation Sans, Arial, sans-serif\" fill=\"#000\"><title>{title}</title><desc>{said}</desc>",
        full_width / 4.0,
        full_height / 4.0
    );
    let place = Place { cell, width, height, above };
    view(&mut svg, sheet, (View::Mating, &faces.mating), (12.0, 0.0), place);
    view(&mut svg, sheet, (View::Wire, &faces.wire), (second_x, second_y), place);
    if is_beside {
        let x = 12.0 + width + GAP / 2.0;
        let _ = write!(
            svg,
            "<path d=\"M{x},{}V{}\" stroke=\"#000\" stroke-width=\"1\" stroke-dasharray=\"14 3 2 3\" fill=\"none\"/>",
            above - 8.0,
            above + height + FOOT
        );
    }
    svg.push_str("</svg>");
    Some(Picture { svg, words: words(sheet) })
}

/// Sizes of a view.
#[derive(Clone, Copy)]
struct Place {
    cell: f64,
    width: f64,
    height: f64,
    /// From the top of a view to its housing.
    above: f64,
}

fn view(svg: &mut String, sheet: &EndSheet, (view, rows): (View, &[Vec<String>]), (x, y): (f64, f64), place: Place) {
    let Place { cell, width, height, above } = place;
    let name = match view {
        View::Mating => "mating face",
        View::Wire => "wire side",
    };
    let seen = match (view, &sheet.mate) {
        (View::Mating, Some(mate)) => format!("what {} sees", mate.name),
        (View::Mating, None) => "looking at the contacts".to_owned(),
        (View::Wire, _) => "what you push into".to_owned(),
    };
    let room = ((width + 40.0) / LETTER) as usize;
    let _ = write!(
        svg,
        "<text x=\"{x}\" y=\"16\" transform=\"translate(0 {y})\" font-size=\"14\" font-weight=\"bold\">{name}</text>"
    );
    let _ = write!(svg, "<text x=\"{x}\" y=\"{}\" font-size=\"12\">{}</text>", y + 32.0, escaped(&clipped(&seen, room)));
    let top = y + above;
    let _ = write!(
        svg,
        "<rect x=\"{x}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"2\"/>"
    );
    let given_from_mating = sheet.faces.as_ref().is_some_and(|faces| faces.is_given_from_mating);
    let is_mirrored = (view == View::Mating) != given_from_mating;
    for (word, side) in [("latch", Side::named(&sheet.latch_at)), ("key", Side::named(&sheet.key[1]))] {
        let Some(side) = side else { continue };
        let side = if is_mirrored { side.mirrored() } else { side };
        mark(svg, word, side, (x, top), place);
    }
    for (line, row) in rows.iter().enumerate() {
        // A shorter row is in the middle of its face.
        let longest = rows.iter().map(Vec::len).max().unwrap_or(0);
        let indent = (longest - row.len()) as f64 * cell / 2.0;
        for (column, label) in row.iter().enumerate() {
            let at = (x + RIM + indent + column as f64 * cell, top + RIM + line as f64 * cell);
            let cavity = sheet.cavities.iter().find(|cavity| cavity.label == *label);
            cavity_at(svg, (label, cavity), (view, sheet.contacts), at, cell);
        }
    }
}

/// A latch or key at a side of the housing, with its name.
fn mark(svg: &mut String, word: &str, side: Side, (x, top): (f64, f64), Place { width, height, .. }: Place) {
    let (middle, centre) = (x + width / 2.0, top + height / 2.0);
    let half = if word == "latch" { 34.0 } else { 12.0 };
    let shift = if word == "latch" { 0.0 } else { 52.0_f64.min(width / 2.0 - 14.0) };
    let (path, text_x, text_y, anchor) = match side {
        Side::Top => (format!("M{},{top}v-14h{}v14", middle - half + shift, 2.0 * half), middle + shift, top - 18.0, "middle"),
        Side::Bottom => {
            let bottom = top + height;
            (format!("M{},{bottom}v8h{}v-8", middle - half + shift, 2.0 * half), middle + shift, bottom + 21.0, "middle")
        }
        Side::Left => (format!("M{x},{}h-8v24h8", centre - 12.0), x - 1.0, centre - 17.0, "middle"),
        Side::Right => (format!("M{},{}h8v24h-8", x + width, centre - 12.0), x + width + 12.0, centre + 4.0, "start"),
    };
    let _ = write!(svg, "<path d=\"{path}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"2\"/>");
    let _ = write!(svg, "<text x=\"{text_x}\" y=\"{text_y}\" font-size=\"12\" text-anchor=\"{anchor}\">{word}</text>");
}

fn cavity_at(
    svg: &mut String,
    (label, cavity): (&str, Option<&SheetCavity>),
    (view, contacts): (View, Option<Contacts>),
    (x, y): (f64, f64),
    cell: f64,
) {
    let size = cell - 4.0;
    let _ = write!(
        svg,
        "<g><title>{}</title><rect x=\"{}\" y=\"{}\" width=\"{size}\" height=\"{size}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.4\"/>",
        escaped(&cavity.map_or_else(|| label.to_owned(), described)),
        x + 2.0,
        y + 2.0
    );
    let room = ((size - 6.0) / LETTER) as usize;
    let _ = write!(
        svg,
        "<text x=\"{}\" y=\"{}\" font-size=\"12\" font-weight=\"bold\">{}</text>",
        x + 6.0,
        y + 15.0,
        escaped(&clipped(label, room.max(1)))
    );
    let used = cavity.map_or(CavityUse::Empty, |cavity| cavity.used);
    let (middle, low) = (x + cell / 2.0, y + cell * 0.66);
    match (view, used) {
        (_, CavityUse::Empty) if cell >= 40.0 => cross(svg, middle, low, cell / 6.0),
        (_, CavityUse::Plugged) if cell >= 40.0 => {
            let _ = write!(svg, "<circle cx=\"{middle}\" cy=\"{low}\" r=\"{}\" fill=\"#000\"/>", cell / 8.0);
        }
        (View::Mating, CavityUse::Wired) if cell >= 34.0 => contact(svg, contacts, middle, low),
        (View::Wire, CavityUse::Wired) => {
            let lines = cavity.map(wire_lines).unwrap_or_default();
            let fit = (((size - 18.0) / 13.0) as usize).min(lines.len());
            for (line, text) in lines.iter().take(fit).enumerate() {
                let _ = write!(
                    svg,
                    "<text x=\"{}\" y=\"{}\" font-size=\"12\">{}</text>",
                    x + 6.0,
                    y + 29.0 + 13.0 * line as f64,
                    escaped(&clipped(text, room.max(1)))
                );
            }
        }
        _ => {}
    }
    svg.push_str("</g>");
}

fn cross(svg: &mut String, x: f64, y: f64, half: f64) {
    let (left, right, top, bottom) = (x - half, x + half, y - half, y + half);
    let _ = write!(
        svg,
        "<path d=\"M{left},{top}L{right},{bottom}M{right},{top}L{left},{bottom}\" stroke=\"#000\" stroke-width=\"1.4\" fill=\"none\"/>"
    );
}

/// A socket is a ring, a pin a filled square in it.
fn contact(svg: &mut String, contacts: Option<Contacts>, x: f64, y: f64) {
    let _ = match contacts {
        Some(Contacts::Pin) => write!(svg, "<rect x=\"{}\" y=\"{}\" width=\"8\" height=\"8\" fill=\"#000\"/>", x - 4.0, y - 4.0),
        Some(Contacts::Socket) => {
            write!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\"6\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"2\"/>")
        }
        None => write!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\"2.5\" fill=\"#000\"/>"),
    };
}

/// Wire number, colour letters and size of what is in a cavity.
fn wire_lines(cavity: &SheetCavity) -> Vec<String> {
    match cavity.wires.as_slice() {
        [] => Vec::new(),
        [wire] => {
            let colour = wire.colour.map(|colour| colour.to_string());
            std::iter::once(wire.number.clone()).chain(colour).collect()
        }
        several => several.iter().map(|wire| wire.number.clone()).collect(),
    }
}

fn described(cavity: &SheetCavity) -> String {
    let wires: Vec<&str> = cavity.wires.iter().map(|wire| wire.number.as_str()).collect();
    match cavity.used {
        CavityUse::Wired => format!("{}: wire {}", cavity.label, wires.join(", ")),
        other => format!("{}: {}", cavity.label, other.word()),
    }
}

/// A text of at most so many letters as it is shown; what is cut off has a mark, and is in the table.
fn clipped(text: &str, room: usize) -> String {
    let text = &*printable(text);
    if text.chars().count() <= room {
        return text.to_owned();
    }
    let kept: String = text.chars().take(room.saturating_sub(1)).collect();
    format!("{kept}…")
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
