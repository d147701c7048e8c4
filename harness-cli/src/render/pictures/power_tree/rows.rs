//! The rows of a block: where each is, with its load, its names and its figures.

use super::{
    block::{Bar, Block, Line, To, Twig},
    columns::{Before, Columns},
    lanes::{Pen, Room, of_way, stretches, way},
    leaf::{Leaf, leaf},
};
use crate::render::pictures::words::{fitted, holder, wires};
use harness_core::views::{Part, Piece, PieceKind, Reference, SourceKind, WireOf};
use harness_draw::{Anchor, LineKind, Point, Sheet, Symbol, Text, ThingId, Turn};

/// The least height of a row.
const PITCH: f64 = 38.0;
/// Between two rows.
const GAP: f64 = 6.0;
/// Above the first row of a bar: its name.
const NAME: f64 = 18.0;
/// What a number of wires takes on a line.
pub(super) const WIRES: f64 = 104.0;
/// Two lines that meet a bar from both sides are at least so far apart.
const APART: f64 = 9.0;
/// From a bar to the first thing of a row.
const STUB: f64 = 10.0;
/// What a feeder begins with: the other pole of its source, or a letter.
const LEAD: f64 = 46.0;

/// A bar with its rows in their places, above y = 0 at its upper edge.
pub(super) struct Placed<'b> {
    bar: &'b Bar<'b>,
    columns: Vec<f64>,
    rows: Vec<Row<'b>>,
    /// The upper end of the bar.
    top: f64,
}

struct Row<'b> {
    twig: &'b Twig<'b>,
    pieces: Vec<&'b Piece>,
    y: f64,
    leaf: Option<Leaf<'b>>,
    behind: Option<Placed<'b>>,
}

/// A block in its place.
pub(super) struct Laid<'b> {
    pub(super) block: &'b Block<'b>,
    root: Placed<'b>,
    /// The heights of the lines of its feeders.
    feeders: Vec<f64>,
    pub(super) height: f64,
}

/// The pen of a block.
pub(super) fn pen<'b>(block: &'b Block<'_>) -> Pen<'b> {
    let kind = if block.domain.class_b { LineKind::ClassB } else { LineKind::ClassA };
    Pen { kind, holder: holder(block.root.name), ac: block.domain.ac, ratings: true }
}

fn parts<'b>(twig: &'b Twig<'_>) -> &'b [Part] {
    twig.branch.map_or(&[], |branch| branch.way.as_slice())
}

/// The pen of a row: the fuse of its column says its rating, others say theirs.
fn row_pen<'b>(pen: &Pen<'b>, twig: &Twig<'_>, pieces: &[&Piece]) -> Pen<'b> {
    let fuses = pieces.iter().filter(|piece| matches!(piece.kind, PieceKind::Fuse { .. })).count();
    let has_column = !matches!(twig.to, To::Bar(_));
    Pen { ratings: !has_column || fuses > 1, ..*pen }
}

/// Puts a block in its place.
pub(super) fn lay<'b>(block: &'b Block<'b>) -> Laid<'b> {
    let pen = pen(block);
    let mut y = 0.0;
    let root = place(&block.root, &pen, &mut y);
    let rooms: Vec<Room> = block.feeders.iter().map(|line| of_way(&pen, line.parts)).collect();
    let tall: f64 = rooms.iter().map(|room| room.above.max(20.0) + room.below.max(20.0) + GAP).sum();
    let mut at = ((y - tall) / 2.0).max(0.0);
    let mut lines = Vec::new();
    for room in &rooms {
        let mut line = at + room.above.max(20.0);
        while root.rows.iter().any(|row| (row.y - line).abs() < APART) {
            line += APART;
            at += APART;
        }
        lines.push(line.round());
        at += room.above.max(20.0) + room.below.max(20.0) + GAP;
    }
    if block.from.is_some() {
        let mut line = root.rows.first().map_or(NAME, |row| row.y);
        let last = root.rows.last().map_or(NAME, |row| row.y);
        line = ((line + last) / 2.0).round();
        while root.rows.iter().any(|row| (row.y - line).abs() < APART) {
            line += APART;
        }
        lines.push(line);
    }
    let height = y.max(at).max(lines.last().map_or(0.0, |line| line + 20.0));
    Laid { block, root, feeders: lines, height }
}

fn place<'b>(bar: &'b Bar<'b>, pen: &Pen<'_>, y: &mut f64) -> Placed<'b> {
    let pen = &Pen { holder: holder(bar.name), ..*pen };
    let top = *y + NAME - 4.0;
    *y += NAME;
    let mut columns: Vec<f64> = Vec::new();
    let mut rows = Vec::new();
    for twig in &bar.rows {
        let pieces = Part::pieces(parts(twig));
        let pen = row_pen(pen, twig, &pieces);
        for (at, stretch) in stretches(parts(twig)).iter().enumerate() {
            let width = stretch.room(&pen).width;
            match columns.get_mut(at) {
                Some(column) => *column = column.max(width),
                None => columns.push(width),
            }
        }
        let room = of_way(&pen, parts(twig));
        if let To::Bar(inner) = &twig.to {
            let start = *y;
            let mut behind = place(inner, &pen, y);
            let mut line = entry(&behind);
            let short = room.above + start - line;
            if short > 0.0 {
                *y = start + short;
                behind = place(inner, &pen, y);
                line = entry(&behind);
            }
            *y = y.max(line + room.below + GAP);
            rows.push(Row { twig, pieces, y: line, leaf: None, behind: Some(behind) });
            continue;
        }
        let leaf = leaf(twig);
        let above = room.above.max(leaf.above()).max(14.0);
        let below = room.below.max(leaf.below());
        let line = (*y + above).round();
        *y = (line + below + GAP).max(*y + PITCH);
        rows.push(Row { twig, pieces, y: line, leaf: Some(leaf), behind: None });
    }
    if bar.rows.is_empty() {
        *y += PITCH;
    }
    Placed { bar, columns, rows, top }
}

/// Where the line that feeds a bar meets it: in its middle, and at no row.
fn entry(bar: &Placed<'_>) -> f64 {
    let (first, last) = (bar.rows.first().map_or(bar.top, |row| row.y), bar.rows.last().map_or(bar.top, |row| row.y));
    let middle = ((first + last) / 2.0).round();
    let mut at = middle;
    let mut step = 0.0;
    while bar.rows.iter().any(|row| (row.y - at).abs() < APART) {
        step += 1.0;
        at = if step % 2.0 == 0.0 { middle - step } else { middle + step };
    }
    at
}

impl Laid<'_> {
    /// How much room its feeders take at the left of its root.
    pub(super) fn left(&self) -> f64 {
        let pen = pen(self.block);
        let feeders = self.block.feeders.iter().map(|line| of_way(&pen, line.parts).width + LEAD + tail(line));
        feeders.fold(80.0, f64::max)
    }

    /// How far its ways reach to the right of its root.
    pub(super) fn right(&self) -> f64 {
        right(&self.root)
    }

    /// The widest names of its loads.
    pub(super) fn names(&self) -> f64 {
        names(&self.root)
    }

    /// Draws it with its upper edge at `top`.
    pub(super) fn draw(&self, sheet: &mut Sheet, columns: &Columns, top: f64) {
        let pen = pen(self.block);
        let middle = Point::new(columns.bar, top);
        let lines = self.block.feeders.iter().map(|line| line.to.is_none()).chain(self.block.from.map(|_| true));
        let ends: Vec<f64> = self.feeders.iter().zip(lines).filter(|(_, ends)| *ends).map(|(line, _)| *line).collect();
        self.bar(sheet, &pen, columns, &self.root, middle, &ends, self.block.before);
        for (line, height) in self.block.feeders.iter().zip(&self.feeders) {
            let end = Point::new(columns.bar, top + height);
            let room = of_way(&pen, line.parts);
            let start = end.by(-room.width - tail(line), 0.0);
            let at = way(sheet, &pen, line.parts, start, &[]);
            self.begin(sheet, &pen, line, start);
            if let Some(letter) = line.to {
                sheet.line(pen.kind, &[at, at.by(7.0, 0.0)], None);
                sheet.symbol(Symbol::Stud, at.by(10.0, 0.0), Turn::None, pen.kind, None);
                sheet.text(at.by(18.0, 5.0), Anchor::Start, Text::bold(format!("→ {letter}")), None);
                continue;
            }
            let thing = line.feeder.wires.first().map(|wire| wire_thing(sheet, wire));
            sheet.line(pen.kind, &[at, end], thing);
            let words = wires(&line.feeder.wires);
            sheet.text(end.by(-8.0, -6.0), Anchor::End, fitted(&words, WIRES), thing);
        }
        if let (Some(letter), Some(line)) = (self.block.from, self.feeders.last()) {
            let end = Point::new(columns.bar, top + line);
            sheet.line(pen.kind, &[end.by(-30.0, 0.0), end], None);
            sheet.text(end.by(-36.0, 5.0), Anchor::End, Text::bold(format!("{letter} →")), None);
        }
    }

    /// What is at the left of a feeder: its other pole, or the letter that it begins with.
    fn begin(&self, sheet: &mut Sheet, pen: &Pen<'_>, line: &Line<'_>, start: Point) {
        let first = line.feeder.way.iter().find_map(|part| match part {
            Part::Sources(sources) => sources.first(),
            Part::One(_) | Part::Tap(_) | Part::Beside(_) => None,
        });
        let letter = match (line.from.or(line.feeder.from), first.map(|source| source.kind)) {
            (Some(letter), _) => Some(letter),
            (None, Some(SourceKind::Converter { letter, .. })) => letter,
            (None, _) => None,
        };
        let left = start.by(-10.0, 0.0);
        sheet.line(pen.kind, &[left, start], None);
        if let Some(letter) = letter {
            sheet.text(left.by(-6.0, 5.0), Anchor::End, Text::bold(format!("{letter} →")), None);
            return;
        }
        match self.block.domain.reference {
            Some(Reference::Chassis) => sheet.symbol(Symbol::Chassis, left, Turn::Half, pen.kind, None),
            Some(Reference::Earth) => sheet.symbol(Symbol::Earth, left, Turn::Half, pen.kind, None),
            Some(Reference::Floating) | None => sheet.symbol(Symbol::Stud, left.by(-3.0, 0.0), Turn::None, pen.kind, None),
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one walk over the bars of a block")]
    fn bar(
        &self,
        sheet: &mut Sheet,
        pen: &Pen<'_>,
        columns: &Columns,
        bar: &Placed<'_>,
        at: Point,
        feeders: &[f64],
        before: Before<'_>,
    ) {
        let kind = if pen.kind.is_class_b() { LineKind::BusB } else { LineKind::BusA };
        let heights = || bar.rows.iter().map(|row| row.y).chain(feeders.iter().copied());
        let (least, most) = (heights().fold(bar.top, f64::min), heights().fold(bar.top + 20.0, f64::max));
        let pen = &Pen { holder: holder(bar.bar.name), ..*pen };
        let thing = sheet.thing(bar.bar.name, format!("net of {}", bar.bar.name));
        sheet.line(kind, &[at.by(0.0, least), at.by(0.0, most)], Some(thing));
        sheet.text(at.by(-2.0, least - 4.0), Anchor::Start, Text::small(bar.bar.name), Some(thing));
        for feeder in feeders {
            sheet.symbol(Symbol::WideJoint, at.by(0.0, *feeder), Turn::None, kind, None);
        }
        for row in &bar.rows {
            let start = at.by(0.0, row.y);
            sheet.symbol(Symbol::WideJoint, start, Turn::None, kind, None);
            let own = row_pen(pen, row.twig, &row.pieces);
            let first = start.by(if parts(row.twig).is_empty() { 0.0 } else { STUB }, 0.0);
            sheet.line(pen.kind, &[start, first], None);
            let end = way(sheet, &own, parts(row.twig), first, &bar.columns);
            let wires_here = row.twig.branch.map_or(&[][..], |branch| branch.wires.as_slice());
            let thing = wires_here.first().map(|wire| wire_thing(sheet, wire));
            let own_before = row.twig.branch.map_or(before, |branch| before.behind(branch));
            if let Some(behind) = &row.behind {
                let foot = Point::new(end.x.max(start.x + 20.0), start.y);
                sheet.line(pen.kind, &[end, foot], thing);
                self.bar(sheet, pen, columns, behind, Point::new(foot.x, at.y), &[row.y], own_before);
            }
            if let Some(leaf) = &row.leaf {
                let lead = leaf.draw(sheet, pen, columns, start.y, row.twig.branch, before);
                sheet.line(pen.kind, &[end, lead], thing);
                let words = wires(wires_here);
                if !words.is_empty() && lead.x - end.x > 30.0 {
                    let most = (lead.x - end.x - 8.0).min(WIRES);
                    sheet.text(lead.by(-4.0, -6.0), Anchor::End, fitted(&words, most), thing);
                }
            }
        }
    }
}

/// What a line takes between its last thing and the bar.
fn tail(line: &Line<'_>) -> f64 {
    match line.to {
        Some(_) => 70.0,
        None => {
            let words = wires(&line.feeder.wires);
            if words.is_empty() { 30.0 } else { (fitted(&words, WIRES).width() + 20.0).ceil() }
        }
    }
}

fn right(bar: &Placed<'_>) -> f64 {
    let reach = |row: &Row<'_>| {
        let own: f64 = bar.columns.iter().take(stretches(parts(row.twig)).len()).sum();
        let own = (own + STUB).max(20.0);
        row.behind.as_ref().map_or(own, |behind| own + right(behind))
    };
    bar.rows.iter().map(reach).fold(0.0, f64::max)
}

fn names(bar: &Placed<'_>) -> f64 {
    let of = |row: &Row<'_>| row.leaf.as_ref().map_or(0.0, Leaf::width).max(row.behind.as_ref().map_or(0.0, names));
    bar.rows.iter().map(of).fold(0.0, f64::max)
}

/// A wire as a thing of the sheet.
fn wire_thing(sheet: &mut Sheet, wire: &WireOf) -> ThingId {
    let size = wire.size.map(|size| format!(", {}", crate::render::pictures::words::quantity(size))).unwrap_or_default();
    sheet.thing(&wire.name, format!("wire {}{size}", wire.name))
}
