//! One thing on a way: of a function, of a net.

use super::{
    power_tree::{piece_symbol, piece_title},
    symbols::symbol_of_source,
    words::{holder, quantity, short},
};
use harness_core::views::{
    PieceKind,
    function::{Aside, Stop, StopKind},
};
use harness_draw::{Anchor, LineKind, Point, Sheet, Symbol, Text, Turn, clipped};

/// So many of the things beside the way are named.
const MOST: usize = 4;
/// Room between the texts of two stops.
const BESIDE: f64 = 14.0;
/// From the line to what is named below it.
const DOWN: f64 = 46.0;
const LEADING: f64 = 14.0;
/// The least of a bar between what is joined to it.
const BAR: f64 = 34.0;
/// The widest name; a longer one loses its middle, and says it whole where it is pointed at.
const WIDEST: f64 = 200.0;

/// How a stop is written.
pub(super) struct Look<'s> {
    pub(super) stop: &'s Stop,
    /// The two halves of a joint, at its two sides.
    sides: Option<[String; 2]>,
    above: Vec<String>,
    below: Vec<String>,
    pub(super) width: f64,
    /// Where its symbol is, as a share of its width.
    share: f64,
}

/// The lines of a stop, and the width that they take; names within `own` are short.
pub(super) fn look<'s>(stop: &'s Stop, own: &str) -> Look<'s> {
    let (above, below, least): (Vec<String>, Vec<String>, f64) = match &stop.kind {
        StopKind::Wire { name, size, colour, length } => {
            let size = size.map(quantity);
            let first: Vec<String> = size.into_iter().chain(colour.clone()).collect();
            let length = length.map(quantity);
            (vec![name.clone()], [first.join(" ")].into_iter().chain(length).filter(|line| !line.is_empty()).collect(), 70.0)
        }
        // What is said at the two sides of a joint decides later.
        StopKind::Pair { .. } | StopKind::Joint { .. } => (Vec::new(), Vec::new(), 34.0),
        StopKind::Splice(name) => (vec![name.clone()], Vec::new(), 24.0),
        StopKind::Bar(name) => (vec![short(name, own).to_owned()], vec!["bar".to_owned()], BAR - BESIDE),
        StopKind::Metal(name) => (vec![name.clone()], Vec::new(), 44.0),
        StopKind::Piece(piece) => {
            let rating = match piece.kind {
                PieceKind::Resistor(ohms) | PieceKind::Shunt(ohms) => Some(quantity(ohms)),
                _ => piece.rating.map(quantity),
            };
            (vec![short(&piece.name, own).to_owned()], rating.into_iter().collect(), 56.0)
        }
        StopKind::Other(name) => (vec![short(name, own).to_owned()], Vec::new(), 60.0),
        StopKind::Source { source, .. } => (vec![short(&source.name, own).to_owned()], vec![quantity(source.volts)], 76.0),
    };
    let (above, below) = (above.into_iter().map(fitting).collect::<Vec<_>>(), below.into_iter().map(fitting).collect::<Vec<_>>());
    let asides = aside_lines(&stop.asides);
    let texts = above.iter().chain(&below).chain(asides.iter().map(|(line, _)| line));
    let widest = texts.map(|line| Text::small(line).width()).fold(least, f64::max);
    let sides = match &stop.kind {
        StopKind::Pair { from, to } | StopKind::Joint { from, to } => Some([from.clone(), to.clone()]),
        _ => None,
    };
    Look { stop, sides, above, below, width: (widest + BESIDE).ceil(), share: 0.5 }
}

impl Look<'_> {
    /// The device that it is in.
    pub(super) fn device(&self) -> Option<&str> {
        self.stop.device.as_deref()
    }

    /// Makes room for the two halves of a joint: short in the frame of a neighbour, whole elsewhere.
    pub(super) fn part_sides(&mut self, neighbours: [Option<&str>; 2]) {
        let Some(sides) = &mut self.sides else { return };
        for side in sides.iter_mut() {
            if neighbours.contains(&Some(holder(side))) {
                *side = short(side, holder(side)).to_owned();
            }
            *side = fitting(std::mem::take(side));
        }
        let [first, second] = sides.each_ref().map(|side| Text::small(side).width() + 6.0 + BESIDE / 2.0);
        let asides = aside_lines(&self.stop.asides);
        let half = asides.iter().map(|(line, _)| Text::small(line).width()).fold(0.0, f64::max) / 2.0 + BESIDE / 2.0;
        let (before, behind) = (first.max(half).ceil(), second.max(half).ceil());
        self.width = before + behind;
        self.share = before / self.width;
    }

    /// The two halves of a joint one above its line and one below: so it is half as wide, where nothing is framed.
    pub(super) fn stacked(mut self) -> Self {
        if let Some([from, to]) = self.sides.take() {
            let widest = [&from, &to].map(|side| Text::small(fitting(side.clone())).width()).into_iter().fold(0.0, f64::max);
            (self.above, self.below) = (vec![fitting(from)], vec![fitting(to)]);
            self.width = self.width.max((widest + BESIDE).ceil());
        }
        self
    }

    /// The same without its words: a bar says its name once.
    pub(super) fn silent(mut self) -> Self {
        (self.above, self.below, self.width) = (Vec::new(), Vec::new(), BAR);
        self
    }

    /// Where its symbol is on a way from `from` to `to`.
    pub(super) fn middle(&self, from: f64, to: f64) -> f64 {
        (from + (to - from) * self.share).round()
    }

    /// Where it joins what leaves it: a splice is the joint itself, everything else is joined behind it.
    pub(super) fn joint(&self, from: f64, to: f64) -> (f64, bool) {
        match self.stop.kind {
            StopKind::Splice(_) => (self.middle(from, to), true),
            _ => (to, false),
        }
    }

    /// Whether a half of a joint is of a device: then its frame ends in the middle of the joint.
    pub(super) fn is_edge_of(&self, device: &str) -> bool {
        match &self.stop.kind {
            StopKind::Pair { from, to } | StopKind::Joint { from, to } => [from, to].iter().any(|side| holder(side) == device),
            _ => false,
        }
    }
}

/// A line that is not too wide.
fn fitting(line: String) -> String {
    clipped(&line, 12.0, false, WIDEST)
}

/// How many of `stops` a row may hold that has room for `most` of them: if it can it is cut outside a device, behind a joint.
pub(super) fn break_at(stops: &[Stop], most: usize) -> usize {
    let rank = |count: usize| {
        let (before, next) = (stops.get(count.saturating_sub(1)), stops.get(count));
        let device = before.and_then(|stop| stop.device.as_ref());
        let is_outside = device.is_none() || device != next.and_then(|stop| stop.device.as_ref());
        (is_outside, before.is_some_and(|stop| is_joint(&stop.kind)))
    };
    let counts = (most * 2 / 3).max(1)..=most.max(1);
    counts.reduce(|best, count| if rank(count) >= rank(best) { count } else { best }).unwrap_or(1)
}

/// Whether what is behind it can be taken apart from it.
const fn is_joint(kind: &StopKind) -> bool {
    match kind {
        StopKind::Pair { .. } | StopKind::Joint { .. } | StopKind::Splice(_) | StopKind::Bar(_) | StopKind::Metal(_) => true,
        StopKind::Wire { .. } | StopKind::Piece(_) | StopKind::Other(_) | StopKind::Source { .. } => false,
    }
}

/// What is joined beside the way in lines, each with which of it that is; one that is too wide goes on in a second line.
fn aside_lines(asides: &[Aside]) -> Vec<(String, Option<usize>)> {
    let mut lines: Vec<(String, Option<usize>)> = Vec::new();
    for (at, aside) in asides.iter().enumerate().take(MOST) {
        let whole = if aside.to.is_empty() { aside.name.clone() } else { format!("{} → {}", aside.name, aside.to) };
        if aside.to.is_empty() || Text::small(&whole).width() <= WIDEST {
            lines.push((fitting(whole), Some(at)));
        } else {
            lines.push((format!("{} →", fitting(aside.name.clone())), Some(at)));
            lines.push((fitting(aside.to.clone()), Some(at)));
        }
    }
    if asides.len() > MOST {
        lines.push((format!("and {} more", asides.len() - MOST), None));
    }
    lines
}

/// What the names beside the way take below the line.
pub(super) fn asides_height(stop: &Stop) -> f64 {
    let lines = aside_lines(&stop.asides).len();
    if lines == 0 { 0.0 } else { DOWN + LEADING * lines as f64 }
}

/// Draws a stop between two ends; the way runs from `from` to `to`, which may be at its left.
pub(super) fn draw_stop(sheet: &mut Sheet, kind: LineKind, look: &Look<'_>, from: Point, to: Point) {
    let middle = Point::new(look.middle(from.x, to.x), from.y);
    let (symbol, key, title) = meaning(look.stop);
    // What has no direction is drawn as people know it; a source that is charged is met at its plus.
    let is_charged = matches!(look.stop.kind, StopKind::Source { from_plus: true, .. });
    let has_direction = symbol.is_some_and(|symbol| matches!(symbol, Symbol::Pair | Symbol::Diode | Symbol::Battery));
    let is_turned = has_direction && ((to.x < from.x) != is_charged);
    let turn = if is_turned { Turn::Half } else { Turn::None };
    let thing = Some(sheet.thing(&key, title));
    let kind = match (&look.stop.kind, kind.is_class_b()) {
        (StopKind::Bar(_), true) => LineKind::BusB,
        (StopKind::Bar(_), false) => LineKind::BusA,
        _ => kind,
    };
    match symbol {
        Some(symbol) => {
            let mut ends = symbol.ends(middle, turn);
            if (ends[0].x > ends[1].x) != (from.x > to.x) {
                ends.reverse();
            }
            let [enters, leaves] = ends;
            sheet.line(kind, &[from, enters], thing);
            sheet.line(kind, &[leaves, to], thing);
            sheet.symbol(symbol, middle, turn, kind, thing);
        }
        None => sheet.line(kind, &[from, to], thing),
    }
    let extent = symbol.map(|symbol| symbol.extent_at(middle, turn));
    let (up, down) = extent.map_or((from.y - 3.0, from.y + 3.0), |rect| (rect.least.y, rect.most.y));
    if let Some([first, second]) = &look.sides {
        let (left, right) = if to.x < from.x { (second, first) } else { (first, second) };
        sheet.text(middle.by(-6.0, -13.0), Anchor::End, Text::small(left), thing);
        sheet.text(middle.by(6.0, -13.0), Anchor::Start, Text::small(right), thing);
    }
    let mut y = up - 5.0;
    for line in look.above.iter().rev() {
        sheet.text(Point::new(middle.x, y), Anchor::Middle, Text::small(line), thing);
        y -= LEADING;
    }
    let mut y = down + 14.0;
    for line in &look.below {
        sheet.text(Point::new(middle.x, y), Anchor::Middle, Text::small(line), thing);
        y += LEADING;
    }
    let lines = aside_lines(&look.stop.asides);
    if lines.is_empty() {
        return;
    }
    // A thing itself says what is joined at its end; a wire has its size below the line.
    let foot = Point::new(middle.x, from.y + DOWN + 2.0);
    let start = look.below.len() as f64 * LEADING;
    sheet.line(LineKind::Rule, &[Point::new(middle.x, (down + start + 8.0).min(foot.y - 4.0)), foot], thing);
    for (number, (line, of)) in lines.iter().enumerate() {
        let of = of.and_then(|at| look.stop.asides.get(at)).map(|aside| sheet.thing(&aside.name, line));
        let at = Point::new(middle.x, foot.y + 13.0 + LEADING * number as f64);
        sheet.text(at, Anchor::Middle, Text::small(line), of);
    }
}

/// The symbol of a stop, the key that leads to it and what is said of it.
fn meaning(stop: &Stop) -> (Option<Symbol>, String, String) {
    match &stop.kind {
        StopKind::Wire { name, .. } => (None, name.clone(), format!("wire {name}")),
        StopKind::Pair { from, to } => (Some(Symbol::Pair), from.clone(), format!("mated contact {from}, {to}")),
        StopKind::Joint { from, to } => (Some(Symbol::Stud), from.clone(), format!("{from} at {to}")),
        StopKind::Splice(name) => (Some(Symbol::Splice), name.clone(), format!("splice {name}")),
        StopKind::Bar(name) => (None, name.clone(), format!("bar {name}")),
        StopKind::Metal(name) => (None, name.clone(), name.clone()),
        StopKind::Piece(piece) => (Some(piece_symbol(piece.kind)), piece.name.clone(), piece_title(piece)),
        StopKind::Other(name) => (Some(Symbol::Electronics), name.clone(), name.clone()),
        StopKind::Source { source, .. } => (
            Some(symbol_of_source(source, false)),
            source.name.clone(),
            format!("source {} in {}", source.name, holder(&source.name)),
        ),
    }
}
