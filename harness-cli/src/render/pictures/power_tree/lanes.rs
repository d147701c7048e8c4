//! What is on a way, drawn from left to right: fuses, contacts, sources, ways side by side.

use crate::render::pictures::{
    symbols::{piece_noun, symbol_of_source},
    words::{figure, holder, quantity, short, wrapped},
};
use harness_core::{
    quantity::Ampere,
    views::{Part, Piece, PieceKind, Source, power_tree::Feeder},
};
use harness_draw::{Anchor, LineKind, Point, Sheet, Symbol, Text, ThingId, Turn};

/// Between two ways side by side.
const LANE: f64 = 46.0;
/// From a fork to the first thing of a way.
const FORK: f64 = 12.0;
/// The width of the names of sources in series.
const SOURCES: f64 = 120.0;
/// Room beside a name.
const BESIDE: f64 = 12.0;

/// The pen of a block: the kind of its conductors, and what holds what is named short.
#[derive(Clone, Copy)]
pub(super) struct Pen<'p> {
    pub(super) kind: LineKind,
    pub(super) holder: &'p str,
    /// Whether the domain is alternating.
    pub(super) ac: bool,
    /// Whether ratings are written below: where no column says them.
    pub(super) ratings: bool,
}

/// The lines that name a piece: what holds it above, unless that is clear.
fn name_lines<'n>(pen: &Pen<'_>, name: &'n str) -> Vec<&'n str> {
    let own = short(name, pen.holder);
    if own.len() != name.len() {
        return vec![own];
    }
    match name.split_once('.') {
        Some((holder, own)) => vec![holder, own],
        None => vec![name],
    }
}

/// The width and the height above and below its line that a stretch of a way takes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Room {
    pub(super) width: f64,
    pub(super) above: f64,
    pub(super) below: f64,
}

impl Room {
    fn with(self, other: Self) -> Self {
        Self { width: self.width + other.width, above: self.above.max(other.above), below: self.below.max(other.below) }
    }
}

/// The stretches of a way: sources that follow one another are one.
pub(super) fn stretches(parts: &[Part]) -> Vec<Stretch<'_>> {
    let mut found: Vec<Stretch<'_>> = Vec::new();
    for part in parts {
        match (part, found.last_mut()) {
            (Part::Sources(sources), Some(Stretch::Sources(banks))) => banks.push(sources),
            (Part::Sources(sources), _) => found.push(Stretch::Sources(vec![sources])),
            (Part::One(piece), _) => found.push(Stretch::Piece(piece)),
            (Part::Tap(letter), _) => found.push(Stretch::Tap(letter.to_string())),
            (Part::Beside(lanes), _) => found.push(Stretch::Beside(lanes)),
        }
    }
    found
}

/// A stretch of a way.
pub(super) enum Stretch<'t> {
    Piece(&'t Piece),
    /// Banks in series, each of sources side by side.
    Sources(Vec<&'t Vec<Source>>),
    Tap(String),
    Beside(&'t [Vec<Part>]),
}

impl Stretch<'_> {
    /// The room that it takes, its width in whole units.
    pub(super) fn room(&self, pen: &Pen<'_>) -> Room {
        let room = self.bare_room(pen);
        Room { width: room.width.ceil(), ..room }
    }

    fn bare_room(&self, pen: &Pen<'_>) -> Room {
        match self {
            Self::Piece(piece) => {
                let lines = name_lines(pen, &piece.name);
                let widest = lines.iter().map(|line| Text::small(line).width()).fold(0.0, f64::max);
                let rating = if pen.ratings { rating(piece).map_or(0.0, |text| Text::small(text).width()) } else { 0.0 };
                let symbol = symbol(piece.kind).extent();
                let above = -symbol.least.y + 4.0 + 14.0 * lines.len() as f64;
                let below = if pen.ratings && rating > 0.0 { symbol.most.y + 16.0 } else { symbol.most.y };
                Room { width: widest.max(rating).max(symbol.width()) + BESIDE, above, below }
            }
            Self::Sources(banks) => {
                let lines = source_lines(pen, banks);
                let widest = lines.iter().map(|line| line.1).fold(0.0, f64::max);
                Room { width: widest.max(64.0) + BESIDE, above: 38.0, below: 18.0 + 15.0 * lines.len() as f64 }
            }
            Self::Tap(_) => Room { width: 30.0, above: 22.0, below: 3.0 },
            Self::Beside(lanes) => {
                let rooms: Vec<Room> = lanes.iter().map(|lane| of_way(pen, lane)).collect();
                let width = rooms.iter().map(|room| room.width).fold(0.0, f64::max) + 2.0 * FORK;
                let first = rooms.first().copied().unwrap_or_default();
                let below = rooms.windows(2).fold(0.0, |sum, pair| match pair {
                    [one, next] => sum + (one.below + next.above + 4.0).max(LANE),
                    _ => sum,
                });
                Room { width, above: first.above, below: below + rooms.last().map_or(0.0, |room| room.below) }
            }
        }
    }
}

/// The room of a way.
pub(super) fn of_way(pen: &Pen<'_>, parts: &[Part]) -> Room {
    stretches(parts).iter().map(|stretch| stretch.room(pen)).fold(Room::default(), Room::with)
}

/// Draws a way from `from` on, each stretch in the middle of its column; gives where it ends.
pub(super) fn way(sheet: &mut Sheet, pen: &Pen<'_>, parts: &[Part], from: Point, columns: &[f64]) -> Point {
    let mut at = from;
    for (number, stretch) in stretches(parts).iter().enumerate() {
        let width = columns.get(number).copied().unwrap_or_else(|| stretch.room(pen).width);
        let end = at.by(width, 0.0);
        drawn(sheet, pen, stretch, at, end);
        at = end;
    }
    at
}

fn drawn(sheet: &mut Sheet, pen: &Pen<'_>, stretch: &Stretch<'_>, from: Point, to: Point) {
    let middle = Point::new(((from.x + to.x) / 2.0).round(), from.y);
    match stretch {
        Stretch::Piece(piece) => one(sheet, pen, piece, from, middle, to),
        Stretch::Sources(banks) => sources(sheet, pen, banks, from, middle, to),
        Stretch::Tap(letter) => {
            sheet.line(pen.kind, &[from, to], None);
            sheet.symbol(Symbol::Stud, middle, Turn::None, pen.kind, None);
            sheet.text(middle.by(0.0, -9.0), Anchor::Middle, Text::bold(format!("→ {letter}")), None);
        }
        Stretch::Beside(lanes) => beside(sheet, pen, lanes, from, to),
    }
}

/// What is said of a piece where it is pointed at.
pub(in crate::render::pictures) fn title(piece: &Piece) -> String {
    let noun = piece_noun(piece.kind);
    let state = match piece.closed {
        Some(true) => ", conducts in this mode",
        Some(false) => ", open in this mode",
        None => "",
    };
    let rating = piece.rating.map(|amps| format!(", rated {}", quantity(amps))).unwrap_or_default();
    format!("{noun} {}{rating}{state}, carries {}", piece.name, quantity(piece.amps))
}

fn one(sheet: &mut Sheet, pen: &Pen<'_>, piece: &Piece, from: Point, middle: Point, to: Point) {
    let thing = Some(sheet.thing(&piece.name, title(piece)));
    let symbol = symbol(piece.kind);
    let kind = if piece.kind == (PieceKind::Fuse { fitted: false }) { LineKind::NotFitted } else { pen.kind };
    let [enters, leaves] = symbol.ends(middle, Turn::None);
    sheet.line(pen.kind, &[from, enters], thing);
    sheet.line(pen.kind, &[leaves, to], thing);
    sheet.symbol(symbol, middle, Turn::None, kind, thing);
    let lines = name_lines(pen, &piece.name);
    let mut y = symbol.extent().least.y - 5.0;
    for line in lines.iter().rev() {
        sheet.text(middle.by(0.0, y), Anchor::Middle, Text::small(line), thing);
        y -= 14.0;
    }
    if let Some(rating) = rating(piece).filter(|_| pen.ratings) {
        sheet.text(middle.by(0.0, symbol.extent().most.y + 14.0), Anchor::Middle, Text::small(rating), thing);
    }
}

/// What is said below a piece.
fn rating(piece: &Piece) -> Option<String> {
    match piece.kind {
        PieceKind::Fuse { fitted: true } => piece.rating.map(quantity),
        PieceKind::Fuse { fitted: false } => Some("empty".to_owned()),
        PieceKind::Resistor(ohms) | PieceKind::Shunt(ohms) => Some(quantity(ohms)),
        PieceKind::Switch | PieceKind::Selector | PieceKind::MakeContact | PieceKind::BreakContact => None,
        PieceKind::Disconnect | PieceKind::Diode => None,
    }
}

pub(in crate::render::pictures) fn symbol(kind: PieceKind) -> Symbol {
    match kind {
        PieceKind::Fuse { .. } => Symbol::Fuse,
        PieceKind::Switch | PieceKind::Selector => Symbol::Switch,
        PieceKind::MakeContact | PieceKind::BreakContact => Symbol::Contactor,
        PieceKind::Disconnect => Symbol::Disconnector,
        PieceKind::Diode => Symbol::Diode,
        PieceKind::Resistor(_) | PieceKind::Shunt(_) => Symbol::Resistor,
    }
}

/// What is written below sources: the names, then voltage and what limits it; with the widths.
pub(super) fn source_lines(pen: &Pen<'_>, banks: &[&Vec<Source>]) -> Vec<(String, f64)> {
    let all: Vec<&Source> = banks.iter().flat_map(|bank| bank.iter()).collect();
    let volts: f64 = banks.iter().filter_map(|bank| bank.first()).map(|source| source.volts.get()).sum();
    let mut lines: Vec<String> = Vec::new();
    if all.len() > 1 {
        let side = if banks.iter().any(|bank| bank.len() > 1) { " banks" } else { "" };
        lines.push(format!("{}{side} in series, {} V", banks.len(), figure(volts)));
        let names = source_names(banks);
        for line in wrapped(&names, ", ", 12.0, SOURCES) {
            lines.push(line.iter().filter_map(|at| names.get(*at)).cloned().collect::<Vec<_>>().join(",  "));
        }
    } else if let Some(source) = all.first() {
        let more = match (source.limit, source.capacity, source.resistance) {
            (Some(limit), _, _) => Some(format!("up to {}", quantity(limit))),
            (None, Some(capacity), _) => Some(quantity(capacity)),
            (None, None, Some(resistance)) => Some(quantity(resistance)),
            (None, None, None) => None,
        };
        lines.push(quantity(source.volts));
        lines.extend(more);
    }
    let head = source_head(pen, banks);
    let mut found: Vec<(String, f64)> = lines.into_iter().map(|line| (line.clone(), Text::small(&line).width())).collect();
    if let Some(first) = found.first_mut() {
        first.1 = first.1.max(Text::bold(head).width());
    }
    found
}

/// What is said of a source where it is pointed at.
pub(super) fn source_title(source: &Source) -> String {
    let does = if source.amps.get() < 0.0 { "takes" } else { "gives" };
    format!("source {}, {}, {does} {}", source.name, quantity(source.volts), quantity(source.amps.abs()))
}

/// What is written above sources.
fn source_head(pen: &Pen<'_>, banks: &[&Vec<Source>]) -> String {
    let all: Vec<&Source> = banks.iter().flat_map(|bank| bank.iter()).collect();
    match all.as_slice() {
        [only] => short(&only.name, pen.holder).to_owned(),
        many => many.first().map_or_else(String::new, |source| source.holder.clone()),
    }
}

fn sources(sheet: &mut Sheet, pen: &Pen<'_>, banks: &[&Vec<Source>], from: Point, middle: Point, to: Point) {
    let Some(first) = banks.first().and_then(|bank| bank.first()) else { return };
    let all = banks.iter().flat_map(|bank| bank.iter());
    let things: Vec<_> = all.map(|source| sheet.thing(&source.name, source_title(source))).collect();
    let thing = things.first().copied();
    let symbol = symbol_of_source(first, pen.ac);
    let [enters, leaves] = symbol.ends(middle, Turn::None);
    sheet.line(pen.kind, &[from, enters], thing);
    sheet.line(pen.kind, &[leaves, to], thing);
    sheet.symbol(symbol, middle, Turn::None, pen.kind, thing);
    let extent = symbol.extent();
    sheet.text(middle.by(0.0, extent.least.y - 6.0), Anchor::Middle, Text::bold(source_head(pen, banks)), thing);
    let mut y = extent.most.y + 14.0;
    if things.len() < 2 {
        for (line, _) in source_lines(pen, banks) {
            sheet.text(middle.by(0.0, y), Anchor::Middle, Text::small(line), thing);
            y += 15.0;
        }
        return;
    }
    if let Some((line, _)) = source_lines(pen, banks).first() {
        sheet.text(middle.by(0.0, y), Anchor::Middle, Text::small(line), thing);
    }
    // Each of several sources has its name as a text of its own.
    let names = source_names(banks);
    for line in wrapped(&names, ", ", 12.0, SOURCES) {
        y += 15.0;
        let last = line.last().copied();
        let texts: Vec<(Text, Option<ThingId>)> = line
            .iter()
            .filter_map(|at| {
                let comma = if Some(*at) == last { "" } else { "," };
                Some((Text::small(format!("{}{comma}", names.get(*at)?)), things.get(*at).copied()))
            })
            .collect();
        let wide: f64 = texts.iter().map(|(text, _)| text.width() + 3.0).sum();
        let mut x = middle.x - wide / 2.0;
        for (text, of) in texts {
            let own = text.width() + 3.0;
            sheet.text(Point::new(x, middle.y + y), Anchor::Start, text, of);
            x += own;
        }
    }
}

/// The names of sources in series, without what holds them where that is the same for all.
fn source_names(banks: &[&Vec<Source>]) -> Vec<String> {
    let all: Vec<&Source> = banks.iter().flat_map(|bank| bank.iter()).collect();
    let alike = all.iter().all(|source| source.holder == all.first().map_or("", |one| one.holder.as_str()));
    all.iter().map(|source| short(&source.name, if alike { holder(&source.name) } else { "" }).to_owned()).collect()
}

fn beside(sheet: &mut Sheet, pen: &Pen<'_>, lanes: &[Vec<Part>], from: Point, to: Point) {
    let (left, right) = (from.by(FORK, 0.0), to.by(-FORK, 0.0));
    sheet.line(pen.kind, &[from, left], None);
    sheet.line(pen.kind, &[right, to], None);
    let joint = if pen.kind.is_class_b() { Symbol::WideJoint } else { Symbol::Joint };
    for at in [left, right] {
        sheet.symbol(joint, at, Turn::None, pen.kind, None);
    }
    let (mut down, mut last) = (0.0, 0.0);
    let mut before: Option<Room> = None;
    for (number, lane) in lanes.iter().enumerate() {
        let room = of_way(pen, lane);
        if let Some(before) = before {
            down += (before.below + room.above + 4.0).max(LANE);
        }
        before = Some(room);
        let start = left.by(0.0, down);
        if number > 0 {
            sheet.line(pen.kind, &[left.by(0.0, last), start], None);
            sheet.line(pen.kind, &[right.by(0.0, down), right.by(0.0, last)], None);
        }
        if number > 0 && number + 1 < lanes.len() {
            for at in [start, right.by(0.0, down)] {
                sheet.symbol(joint, at, Turn::None, pen.kind, None);
            }
        }
        last = down;
        // Each way fills the room between the forks.
        let rooms: Vec<f64> = stretches(lane).iter().map(|stretch| stretch.room(pen).width).collect();
        let share = ((right.x - left.x - room.width) / rooms.len().max(1) as f64).floor().max(0.0);
        let mut columns: Vec<f64> = rooms.into_iter().map(|width| width + share).collect();
        let used: f64 = columns.iter().sum();
        columns.last_mut().into_iter().for_each(|last| *last += right.x - left.x - used);
        let end = way(sheet, pen, lane, start, &columns);
        sheet.line(pen.kind, &[end, right.by(0.0, down)], None);
    }
}

/// The largest current that the fuses before a bar let through for long, or the sources that limit themselves; `None` where a feeder has
/// neither.
pub(super) fn guard(feeders: &[Feeder]) -> Option<Ampere> {
    let of_feeder = |feeder: &Feeder| {
        let pieces = Part::pieces(&feeder.way);
        let last = pieces.iter().rev().find(|piece| matches!(piece.kind, PieceKind::Fuse { fitted: true }));
        let limited = feeder.way.iter().rev().find_map(|part| match part {
            Part::Sources(sources) => sources.iter().map(|source| source.limit).reduce(|sum, next| Some(sum? + next?)),
            Part::One(_) | Part::Tap(_) | Part::Beside(_) => None,
        });
        last.and_then(|piece| piece.rating).or(limited.flatten())
    };
    let most: Option<Vec<Ampere>> = feeders.iter().map(of_feeder).collect();
    most?.into_iter().reduce(|most, next| if next > most { next } else { most })
}
