//! The face of a connector from both sides, each view named, drawn to be read in black alone.
//!
//! The mating face is left and the wire side right with the mirror line between; a face that is too wide for that has them one below the other. The
//! wire side is the mirror of the mating face by construction.

use harness_core::bench::{CavityUse, Contacts, EndSheet, SheetCavity};
use harness_draw::{Anchor, Drawing, LineKind, Point, Rect, Sheet, Text, ThingId};

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
#[must_use]
pub fn draw(sheet: &EndSheet) -> Option<Drawing> {
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
    let (width, height) = (columns * cell + 2.0 * RIM, rows * cell + 2.0 * RIM);
    let second = if is_beside { Point::new(width + GAP, 0.0) } else { Point::new(0.0, above + height + below) };
    let said = format!(
        "The mating face and the wire side of {}, {} rows; the wire side is the mirror image of the mating face.",
        sheet.name,
        faces.mating.len()
    );
    let mut drawn = Sheet::new("face", format!("Faces of {}", sheet.name), said);
    let place = Place { cell, width, height, above };
    view(&mut drawn, sheet, (View::Mating, &faces.mating), Point::default(), place);
    view(&mut drawn, sheet, (View::Wire, &faces.wire), second, place);
    if is_beside {
        let x = width + GAP / 2.0;
        drawn.line(LineKind::Enclosure, &[Point::new(x, above), Point::new(x, above + height + FOOT)], None);
    }
    drawn.reserve(Rect::at(Point::default(), 336.0, 1.0));
    Some(drawn.finish())
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

fn view(drawn: &mut Sheet, sheet: &EndSheet, (view, rows): (View, &[Vec<String>]), at: Point, place: Place) {
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
    drawn.text(at.by(0.0, 16.0), Anchor::Start, Text::bold(name).within(width + 52.0), None);
    drawn.text(at.by(0.0, 32.0), Anchor::Start, Text::small(seen).within(width + 52.0), None);
    let housing = Rect::at(at.by(0.0, above), width, height);
    drawn.frame(LineKind::Curve, housing, None);
    let given_from_mating = sheet.faces.as_ref().is_some_and(|faces| faces.is_given_from_mating);
    let is_mirrored = (view == View::Mating) != given_from_mating;
    for (word, side) in [("latch", Side::named(&sheet.latch_at)), ("key", Side::named(&sheet.key[1]))] {
        let Some(side) = side else { continue };
        mark(drawn, word, if is_mirrored { side.mirrored() } else { side }, housing);
    }
    let longest = rows.iter().map(Vec::len).max().unwrap_or(0);
    for (line, row) in rows.iter().enumerate() {
        // A shorter row is in the middle of its face.
        let indent = (longest - row.len()) as f64 * cell / 2.0;
        for (column, label) in row.iter().enumerate() {
            let corner = housing.least.by(RIM + indent + column as f64 * cell, RIM + line as f64 * cell);
            let cavity = sheet.cavities.iter().find(|cavity| cavity.label == *label);
            cavity_at(drawn, (sheet, label, cavity), view, corner, cell);
        }
    }
}

/// A latch or key at a side of the housing, with its name.
fn mark(drawn: &mut Sheet, word: &str, side: Side, Rect { least, most }: Rect) {
    let (middle, centre) = ((least.x + most.x) / 2.0, (least.y + most.y) / 2.0);
    let half = if word == "latch" { 34.0 } else { 12.0 };
    let shift = if word == "latch" { 0.0 } else { 52.0_f64.min((most.x - least.x) / 2.0 - 14.0) };
    // Beside a latch on a narrow housing the word begins where that of the latch ends.
    let (beside, beside_from) =
        if shift == 0.0 || shift >= 34.0 { (middle + shift, Anchor::Middle) } else { (middle + 24.0, Anchor::Start) };
    let outline = |a: Point, out: (f64, f64), along: (f64, f64)| {
        let far = a.by(along.0, along.1);
        [a, a.by(out.0, out.1), far.by(out.0, out.1), far]
    };
    let (line, at, anchor) = match side {
        Side::Top => {
            let a = Point::new(middle - half + shift, least.y);
            (outline(a, (0.0, -14.0), (2.0 * half, 0.0)), Point::new(beside, least.y - 18.0), beside_from)
        }
        Side::Bottom => {
            let a = Point::new(middle - half + shift, most.y);
            (outline(a, (0.0, 8.0), (2.0 * half, 0.0)), Point::new(beside, most.y + 21.0), beside_from)
        }
        Side::Left => {
            let a = Point::new(least.x, centre - 12.0);
            (outline(a, (-8.0, 0.0), (0.0, 24.0)), Point::new(least.x - 12.0, centre + 4.0), Anchor::End)
        }
        Side::Right => {
            let a = Point::new(most.x, centre - 12.0);
            (outline(a, (8.0, 0.0), (0.0, 24.0)), Point::new(most.x + 12.0, centre + 4.0), Anchor::Start)
        }
    };
    drawn.line(LineKind::Curve, &line, None);
    drawn.text(at, anchor, Text::small(word), None);
}

fn cavity_at(
    drawn: &mut Sheet,
    (sheet, label, cavity): (&EndSheet, &str, Option<&SheetCavity>),
    view: View,
    corner: Point,
    cell: f64,
) {
    let size = cell - 4.0;
    let said = cavity.map_or_else(|| label.to_owned(), described);
    let thing = Some(drawn.thing(format!("{}.{label}", sheet.name), said));
    drawn.frame(LineKind::Outline, Rect::at(corner.by(2.0, 2.0), size, size), thing);
    drawn.text(corner.by(4.0, 15.0), Anchor::Start, Text::small(label).strong().within(size - 2.0), thing);
    let used = cavity.map_or(CavityUse::Empty, |cavity| cavity.used);
    let middle = corner.by(cell / 2.0, cell * 0.66);
    match (view, used) {
        (_, CavityUse::Empty) if cell >= 40.0 => {
            let half = cell / 6.0;
            for way in [1.0, -1.0] {
                let ends = [middle.by(-half, -half * way), middle.by(half, half * way)];
                drawn.line(LineKind::Outline, &ends, thing);
            }
        }
        (_, CavityUse::Plugged) if cell >= 40.0 => drawn.dot(LineKind::Outline, middle, cell / 8.0, thing),
        (View::Mating, CavityUse::Wired) if cell >= 34.0 => contact(drawn, sheet.contacts, middle, thing),
        (View::Wire, CavityUse::Wired) => {
            let lines = cavity.map(wire_lines).unwrap_or_default();
            let fit = (((size - 18.0) / 13.0) as usize).min(lines.len());
            for (line, text) in lines.iter().take(fit).enumerate() {
                let at = corner.by(4.0, 29.0 + 13.0 * line as f64);
                drawn.text(at, Anchor::Start, Text::small(text).within(size - 4.0), thing);
            }
        }
        _ => {}
    }
}

/// A socket is a ring, a pin a filled square.
fn contact(drawn: &mut Sheet, contacts: Option<Contacts>, at: Point, of: Option<ThingId>) {
    match contacts {
        Some(Contacts::Pin) => drawn.fill(harness_draw::Ink::Black, Rect::at(at.by(-4.0, -4.0), 8.0, 8.0), of),
        Some(Contacts::Socket) => {
            let data = format!("M{:.2},{:.2}a6,6 0 1 0 12,0a6,6 0 1 0 -12,0", at.x - 6.0, at.y);
            drawn.path(LineKind::Curve, data, false, Rect::between(at, at).grown(7.0), of);
        }
        None => drawn.dot(LineKind::Outline, at, 2.5, of),
    }
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
