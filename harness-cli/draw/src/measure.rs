//! What makes a drawing hard to read, counted: what covers what, what crosses, what is outside.

use crate::{
    Anchor, Drawing, LineKind, Point, Rect, Symbol, Turn,
    drawing::{Item, Shape},
    letters::width_of,
    squares::Squares,
};

/// What is wrong with a drawing, and what it costs the reader.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Measured {
    /// Places where two conductors cross at right angles without being joined.
    pub crossings: usize,
    /// Bends of all conductors.
    pub bends: usize,
    /// The conductor with most bends has so many.
    pub most_bends: usize,
    /// Texts on texts, on lines, on symbols; symbols on symbols; conductors through symbols.
    pub covered: Vec<String>,
    /// Conductors that look joined and are not, or are on one another.
    pub confusing: Vec<String>,
    /// Conductors that run neither across nor up.
    pub slanted: Vec<String>,
    /// What is outside the frame.
    pub outside: Vec<String>,
}

impl Measured {
    /// Whether nothing covers, confuses, slants or leaves the frame; crossings and bends are a price, no fault.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.covered.is_empty() && self.confusing.is_empty() && self.slanted.is_empty() && self.outside.is_empty()
    }
}

/// The stretches of a line.
pub(crate) fn segments(points: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    points.iter().zip(points.iter().skip(1)).map(|(a, b)| (*a, *b))
}

/// The box that a shape fills.
pub(crate) fn extent(shape: &Shape) -> Option<Rect> {
    match shape {
        Shape::Line { kind, points } => segments(points)
            .map(|(a, b)| Rect::between(a, b))
            .reduce(|all, one| all.with(one))
            .map(|rect| rect.grown(kind.reach())),
        Shape::Area { points, .. } => segments(points).map(|(a, b)| Rect::between(a, b)).reduce(|all, one| all.with(one)),
        Shape::Fill { rect, .. } | Shape::Cover { rect } => Some(*rect),
        Shape::Symbol { symbol, at, turn, .. } => Some(symbol.extent_at(*at, *turn)),
        Shape::Text { at, anchor, size, is_bold, upright, words, .. } => {
            Some(text_box(*at, *anchor, (*size, *is_bold), *upright, words))
        }
        Shape::Path { extent, .. } => Some(*extent),
        Shape::Warning { at } => Some(Rect::at(*at, 28.0, 24.0)),
    }
}

fn text_box(at: Point, anchor: Anchor, (size, is_bold): (f64, bool), upright: bool, words: &str) -> Rect {
    let width = width_of(words, size, is_bold);
    let before = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width / 2.0,
        Anchor::End => width,
    };
    let (above, below) = (size * 0.8, size * 0.25);
    if upright {
        Rect::between(at.by(-above, before - width), at.by(below, before))
    } else {
        Rect::between(at.by(-before, -above), at.by(width - before, below))
    }
}

/// A stretch of a line.
#[derive(Clone, Copy)]
struct Stretch<'a> {
    a: Point,
    b: Point,
    kind: LineKind,
    item: usize,
    name: &'a str,
}

/// How far the marks along a line reach at most.
const WIDEST: f64 = 6.0;

impl Drawing {
    /// What crosses, covers or leaves it.
    #[must_use]
    pub fn measured(&self) -> Measured {
        of(self)
    }
}

/// Measures a drawing.
fn of(drawing: &Drawing) -> Measured {
    let mut measured = Measured::default();
    let named = |item: &Item| item.of.and_then(|of| drawing.things.get(of.0 as usize)).map_or("", |thing| thing.key.as_str());
    let (mut stretches, mut symbols, mut texts): (Vec<Stretch<'_>>, Vec<_>, Vec<_>) = Default::default();
    for (at, item) in drawing.items.iter().enumerate() {
        if let Some(rect) = extent(&item.shape).filter(|rect| !drawing.frame.grown(0.01).holds(rect)) {
            measured.outside.push(format!("{} at {:.0}, {:.0}", described(item, named(item)), rect.least.x, rect.least.y));
        }
        match &item.shape {
            Shape::Line { kind, points } => {
                let bends = points.len().saturating_sub(2);
                if kind.is_conductor() {
                    measured.bends += bends;
                    measured.most_bends = measured.most_bends.max(bends);
                }
                stretches.extend(segments(points).map(|(a, b)| Stretch { a, b, kind: *kind, item: at, name: named(item) }));
            }
            Shape::Symbol { symbol, at, turn, .. } => symbols.push((*symbol, *at, *turn, named(item))),
            Shape::Text { words, .. } => texts.extend(extent(&item.shape).map(|rect| (rect, words.as_str()))),
            Shape::Fill { .. } | Shape::Area { .. } | Shape::Path { .. } | Shape::Warning { .. } | Shape::Cover { .. } => {}
        }
    }
    let lines = indexed(stretches.iter().map(|one| Rect::between(one.a, one.b).grown(0.5)));
    texts_cover(&mut measured, &texts, &stretches, &lines);
    symbols_cover(&mut measured, &symbols, &texts, &stretches, &lines);
    conductors_meet(&mut measured, &stretches, &symbols, &lines);
    measured
}

fn described(item: &Item, name: &str) -> String {
    match &item.shape {
        Shape::Text { words, .. } => format!("text `{words}`"),
        Shape::Symbol { symbol, .. } => format!("{symbol:?} of `{name}`"),
        Shape::Line { kind, .. } => format!("{kind:?} of `{name}`"),
        Shape::Fill { .. } | Shape::Area { .. } | Shape::Path { .. } | Shape::Warning { .. } | Shape::Cover { .. } => {
            format!("shape of `{name}`")
        }
    }
}

fn indexed(boxes: impl Iterator<Item = Rect>) -> Squares {
    let mut squares = Squares::default();
    boxes.for_each(|rect| squares.add(rect));
    squares
}

fn texts_cover(measured: &mut Measured, texts: &[(Rect, &str)], stretches: &[Stretch<'_>], lines: &Squares) {
    let boxes = indexed(texts.iter().map(|(rect, _)| *rect));
    for (at, (rect, words)) in texts.iter().enumerate() {
        for other in boxes.meeting(rect).into_iter().filter(|other| *other > at).filter_map(|other| texts.get(other)) {
            measured.covered.push(format!("text `{words}` on text `{}`", other.1));
        }
        for line in lines.meeting(&rect.grown(WIDEST)).into_iter().filter_map(|line| stretches.get(line)) {
            // A text may be close to a line, not on the marks along it.
            let marks = line.kind.reach() - line.kind.width() / 2.0;
            if !line.kind.yields_to_text() && rect.grown(marks).is_cut_by(line.a, line.b) {
                measured.covered.push(format!("text `{words}` on {:?} of `{}`", line.kind, line.name));
            }
        }
    }
}

fn symbols_cover(
    measured: &mut Measured,
    symbols: &[(Symbol, Point, Turn, &str)],
    texts: &[(Rect, &str)],
    stretches: &[Stretch<'_>],
    lines: &Squares,
) {
    let boxes = indexed(symbols.iter().map(|(symbol, at, turn, _)| symbol.extent_at(*at, *turn)));
    let letters = indexed(texts.iter().map(|(rect, _)| *rect));
    for (index, (symbol, at, turn, name)) in symbols.iter().enumerate() {
        let rect = symbol.extent_at(*at, *turn);
        for other in boxes.meeting(&rect).into_iter().filter(|other| *other > index).filter_map(|other| symbols.get(other)) {
            measured.covered.push(format!("{symbol:?} of `{name}` on {:?} of `{}`", other.0, other.3));
        }
        for text in letters.meeting(&rect).into_iter().filter_map(|text| texts.get(text)) {
            measured.covered.push(format!("text `{}` on {symbol:?} of `{name}`", text.1));
        }
        if symbol.is_joint() {
            continue;
        }
        let ends = symbol.ends(*at, *turn);
        for line in lines.meeting(&rect).into_iter().filter_map(|line| stretches.get(line)) {
            let is_lead = [line.a, line.b].iter().any(|end| ends.contains(end));
            if line.kind.is_conductor() && !is_lead && rect.grown(-0.5).is_cut_by(line.a, line.b) {
                measured.covered.push(format!("{:?} of `{}` through {symbol:?} of `{name}`", line.kind, line.name));
            }
        }
    }
}

/// Crossings, ends on lines without a joint, lines on one another, slants.
fn conductors_meet(measured: &mut Measured, stretches: &[Stretch<'_>], symbols: &[(Symbol, Point, Turn, &str)], lines: &Squares) {
    let joints: Vec<Point> = symbols.iter().filter(|(symbol, ..)| symbol.is_joint()).map(|(_, at, ..)| *at).collect();
    let joined = indexed(joints.iter().map(|at| Rect::between(*at, *at).grown(0.5)));
    let is_joint = |at: Point| !joined.is_free(&Rect::between(at, at).grown(0.5));
    for (index, one) in stretches.iter().enumerate().filter(|(_, one)| one.kind.is_conductor()) {
        if one.a.x != one.b.x && one.a.y != one.b.y {
            measured.slanted.push(format!("{:?} of `{}`", one.kind, one.name));
            continue;
        }
        let near = lines.meeting(&Rect::between(one.a, one.b).grown(0.5));
        for other in near.into_iter().filter(|other| *other > index).filter_map(|other| stretches.get(other)) {
            if !other.kind.is_conductor() || other.a.x != other.b.x && other.a.y != other.b.y {
                continue;
            }
            match meeting(one, other) {
                Meeting::Cross(at) if is_joint(at) => {}
                Meeting::Cross(_) => measured.crossings += 1,
                Meeting::EndOn(at) if is_joint(at) || one.item == other.item => {}
                Meeting::EndOn(at) => {
                    let said = format!("`{}` ends on `{}` at {:.0}, {:.0} without a joint", one.name, other.name, at.x, at.y);
                    measured.confusing.push(said);
                }
                Meeting::Along => measured.confusing.push(format!("`{}` and `{}` are on one another", one.name, other.name)),
                Meeting::None => {}
            }
        }
    }
}

/// How two stretches along the axes meet.
enum Meeting {
    /// Not, or end to end.
    None,
    /// Each in the inside of the other.
    Cross(Point),
    /// The end of one in the inside of the other.
    EndOn(Point),
    /// Along a common stretch.
    Along,
}

fn meeting(one: &Stretch<'_>, other: &Stretch<'_>) -> Meeting {
    let across = |line: &Stretch<'_>| line.a.y == line.b.y;
    let (low, high) = (|a: f64, b: f64| a.min(b), |a: f64, b: f64| a.max(b));
    if across(one) == across(other) {
        let (level, apart, from, to) = if across(one) {
            (one.a.y == other.a.y, (one.a.x, one.b.x), other.a.x, other.b.x)
        } else {
            (one.a.x == other.a.x, (one.a.y, one.b.y), other.a.y, other.b.y)
        };
        let shared = high(apart.0, apart.1).min(high(from, to)) - low(apart.0, apart.1).max(low(from, to));
        return if level && shared > 1e-6 { Meeting::Along } else { Meeting::None };
    }
    let (flat, steep) = if across(one) { (one, other) } else { (other, one) };
    let at = Point::new(steep.a.x, flat.a.y);
    let (left, right) = (low(flat.a.x, flat.b.x), high(flat.a.x, flat.b.x));
    let (top, bottom) = (low(steep.a.y, steep.b.y), high(steep.a.y, steep.b.y));
    if at.x < left || at.x > right || at.y < top || at.y > bottom {
        return Meeting::None;
    }
    let (in_flat, in_steep) = (at.x > left && at.x < right, at.y > top && at.y < bottom);
    match (in_flat, in_steep) {
        (true, true) => Meeting::Cross(at),
        (false, false) => Meeting::None,
        _ => Meeting::EndOn(at),
    }
}
