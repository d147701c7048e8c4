//! Labels: each in the first of its places where it covers nothing.
//!
//! Names of symbols first, then numbers of wires, then values. Places are tried in a fixed order, so that the same drawing has the same labels. A
//! label without a place becomes a number, and the list below says what it is.

use crate::{
    Anchor, Ink, Near, Point, Rect, Symbol, Text, ThingId,
    drawing::{Item, Shape},
    measure::{extent, segments},
    squares::Squares,
};

/// Which labels choose first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Rank {
    Name,
    Number,
    Value,
}

/// A label without a place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Label {
    pub(crate) rank: Rank,
    pub(crate) near: Near,
    pub(crate) lines: Vec<Text>,
    pub(crate) of: Option<ThingId>,
}

/// From a text to what is beside it.
pub(crate) const CLEAR: f64 = 3.0;
/// Between the base lines of two lines of one label.
const LEADING: f64 = 15.0;
/// Places `labels` among `items`; gives the texts of those without a place.
pub(crate) fn place(items: &mut Vec<Item>, mut labels: Vec<Label>) -> Vec<String> {
    if labels.is_empty() {
        return Vec::new();
    }
    let mut map = Squares::default();
    for item in items.iter() {
        match &item.shape {
            Shape::Line { kind, points } if !kind.yields_to_text() => {
                for (a, b) in segments(points) {
                    cover(&mut map, a, b, 2.0 * kind.reach());
                }
            }
            Shape::Line { .. } => {}
            other => extent(other).into_iter().for_each(|rect| map.add(rect)),
        }
    }
    labels.sort_by_key(|label| label.rank);
    let mut refused = Vec::new();
    for label in labels {
        let size = Size::of(&label.lines);
        let spot = candidates(&label.near, size).into_iter().find(|spot| map.is_free(&spot.rect(size).grown(CLEAR)));
        if let Some(spot) = spot {
            map.add(spot.rect(size));
            put(items, label.lines, spot, size, label.of);
            continue;
        }
        let text = label.lines.iter().map(|line| line.words.as_str()).collect::<Vec<_>>().join(", ");
        refused.push(text);
        let mark = vec![Text { words: format!("({})", refused.len()), size: 12.0, is_bold: false, ink: Ink::Black }];
        let size = Size::of(&mark);
        if let Some(spot) = candidates(&label.near, size).into_iter().find(|spot| map.is_free(&spot.rect(size).grown(1.0))) {
            map.add(spot.rect(size));
            put(items, mark, spot, size, label.of);
        }
    }
    list(items, &refused);
    refused
}

/// The list of what found no room, below everything.
fn list(items: &mut Vec<Item>, refused: &[String]) {
    if refused.is_empty() {
        return;
    }
    let Some(all) = items.iter().filter_map(|item| extent(&item.shape)).reduce(|all, one| all.with(one)) else { return };
    for (at, text) in refused.iter().enumerate() {
        let place = Point::new(all.least.x, all.most.y + 24.0 + 16.0 * at as f64);
        let words = format!("({}) {text}", at + 1);
        items.push(Item {
            shape: Shape::Text {
                at: place,
                anchor: Anchor::Start,
                size: 12.0,
                is_bold: false,
                ink: Ink::Black,
                upright: false,
                words,
            },
            of: None,
        });
    }
}

/// Marks a segment as taken; a slanted one in short pieces, so that its box is not the whole of the rectangle round it.
fn cover(map: &mut Squares, a: Point, b: Point, width: f64) {
    let is_straight = a.x == b.x || a.y == b.y;
    let pieces = if is_straight { 1.0 } else { ((b.x - a.x).abs().max((b.y - a.y).abs()) / 8.0).ceil().max(1.0) };
    let at = |share: f64| Point::new(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share);
    let mut piece = 0.0;
    while piece < pieces {
        map.add(Rect::between(at(piece / pieces), at((piece + 1.0) / pieces)).grown(width / 2.0));
        piece += 1.0;
    }
}

fn put(items: &mut Vec<Item>, lines: Vec<Text>, spot: Spot, size: Size, of: Option<ThingId>) {
    let rect = spot.rect(size);
    let x = match spot.anchor {
        Anchor::Start => rect.least.x,
        Anchor::Middle => (rect.least.x + rect.most.x) / 2.0,
        Anchor::End => rect.most.x,
    };
    let first = lines.first().map_or(0.0, |line| line.size * 0.8);
    for (at, Text { words, size, is_bold, ink }) in lines.into_iter().enumerate() {
        let at = Point::new(x, rect.least.y + first + LEADING * at as f64);
        items.push(Item { shape: Shape::Text { at, anchor: spot.anchor, size, is_bold, ink, upright: false, words }, of });
    }
}

/// The box of some lines of text.
#[derive(Clone, Copy)]
struct Size {
    width: f64,
    height: f64,
}

impl Size {
    fn of(lines: &[Text]) -> Self {
        let width = lines.iter().map(Text::width).fold(0.0, f64::max);
        let first = lines.first().map_or(0.0, |line| line.size);
        Self { width, height: first * 1.05 + LEADING * lines.len().saturating_sub(1) as f64 }
    }
}

/// A place for a label: the point of its box that is given by the anchor, at its upper edge.
#[derive(Clone, Copy)]
struct Spot {
    at: Point,
    anchor: Anchor,
}

impl Spot {
    fn rect(self, size: Size) -> Rect {
        let left = match self.anchor {
            Anchor::Start => self.at.x,
            Anchor::Middle => self.at.x - size.width / 2.0,
            Anchor::End => self.at.x - size.width,
        };
        Rect::at(Point::new(left, self.at.y), size.width, size.height)
    }
}

/// The places of a label, best first.
fn candidates(near: &Near, size: Size) -> Vec<Spot> {
    match near {
        Near::Line(points) => along(points, size),
        Near::Symbol(symbol, at, turn) => round(&symbol.extent_at(*at, *turn), turn.is_upright(), *symbol, *at, size),
        Near::Point(point) => round(&Rect::between(*point, *point).grown(3.0), false, Symbol::Stud, *point, size),
    }
}

/// Round a box: above and below in the middle for what has its leads at the sides, right and left of what has them above and below; then further out.
fn round(rect: &Rect, is_upright: bool, symbol: Symbol, at: Point, size: Size) -> Vec<Spot> {
    let mut spots = Vec::new();
    let centre = Point::new((rect.least.x + rect.most.x) / 2.0, (rect.least.y + rect.most.y) / 2.0);
    for step in 0..5 {
        let gap = CLEAR + 1.0 + 9.0 * f64::from(step);
        let above = Spot { at: Point::new(at.x, rect.least.y - gap - size.height), anchor: Anchor::Middle };
        let below = Spot { at: Point::new(at.x, rect.most.y + gap), anchor: Anchor::Middle };
        let right = Spot { at: Point::new(rect.most.x + gap, centre.y - size.height / 2.0), anchor: Anchor::Start };
        let left = Spot { at: Point::new(rect.least.x - gap, centre.y - size.height / 2.0), anchor: Anchor::End };
        let corners = [(rect.most.x, Anchor::Start), (rect.least.x, Anchor::End)].map(|(x, anchor)| {
            [
                Spot { at: Point::new(x, rect.least.y - gap - size.height), anchor },
                Spot { at: Point::new(x, rect.most.y + gap), anchor },
            ]
        });
        let [[right_above, right_below], [left_above, left_below]] = corners;
        let ordered = match (is_upright, symbol.is_joint()) {
            (true, _) => [right, left, above, below, right_above, right_below, left_above, left_below],
            (false, true) => [right_above, left_above, right_below, left_below, above, below, right, left],
            (false, false) => [above, below, right, left, right_above, left_above, right_below, left_below],
        };
        spots.extend(ordered);
    }
    spots
}

/// Along a line, its longest stretches first: above it at a third from the source, at two thirds, in the middle, then below; beside one that runs up.
fn along(points: &[Point], size: Size) -> Vec<Spot> {
    let mut stretches: Vec<(Point, Point)> = segments(points).collect();
    let length = |(a, b): &(Point, Point)| (b.x - a.x).abs() + (b.y - a.y).abs();
    stretches.sort_by(|one, other| length(other).total_cmp(&length(one)));
    let mut spots = Vec::new();
    for shift in [CLEAR + 1.0, CLEAR + 12.0] {
        for (a, b) in stretches.iter().take(4) {
            let at = |share: f64| Point::new(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share);
            let shares = [1.0 / 3.0, 2.0 / 3.0, 0.5, 0.15, 0.85];
            if a.y == b.y {
                let fits = (b.x - a.x).abs() >= size.width * 0.6;
                let above = |share| Spot { at: at(share).by(0.0, -shift - size.height), anchor: Anchor::Middle };
                let below = |share| Spot { at: at(share).by(0.0, shift), anchor: Anchor::Middle };
                if fits {
                    spots.extend(shares.map(above));
                    spots.extend(shares.map(below));
                }
            } else {
                let right = |share| Spot { at: at(share).by(shift, -size.height / 2.0), anchor: Anchor::Start };
                let left = |share| Spot { at: at(share).by(-shift, -size.height / 2.0), anchor: Anchor::End };
                spots.extend(shares.map(right));
                spots.extend(shares.map(left));
            }
        }
    }
    spots
}
