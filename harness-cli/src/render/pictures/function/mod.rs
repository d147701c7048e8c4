//! One function: its source at the left, what takes its current at the right, the feed above and the return below.
//!
//! The way is drawn in one round: along the feed to the right, down through the load, along the return to the left, up through the source. What
//! else is joined at a place of the way is named below it. A feed or return that is longer than a sheet is wide goes on in a row below, and both
//! cut ends bear a letter.

mod row;

use self::row::{CUT, Rooms, Row, rows};
use super::{
    frame::{self, WIDE},
    symbols::{symbol_of_consumer, symbol_of_source},
    words::quantity,
};
use harness_core::views::{Consumer, Function, Letter, Source, function::StopKind};
use harness_draw::{Anchor, Drawing, LineKind, Point, Sheet, Symbol, Text, ThingId, Turn};

/// The least room from the left edge to the source.
const SOURCE: f64 = 60.0;
/// From the source to the first thing, and from the last to what takes the current.
const LEAD: f64 = 20.0;
/// Between the feed and the return.
const BETWEEN: f64 = 130.0;
/// Below a row that goes on in another.
const BELOW: f64 = 40.0;
/// The widest name of a source or load.
const WIDEST: f64 = 240.0;

/// The sheet of a function; `design` is what the design is called.
#[must_use]
pub fn draw(design: &str, function: &Function) -> Drawing {
    let about = about(function);
    let mut sheet = Sheet::new("function", format!("{} in {design}", function.name), &about);
    let top = heading(&mut sheet, design, function, &about);
    let kind = if function.class_b { LineKind::ClassB } else { LineKind::ClassA };
    let source = function.source.as_ref().map(|source| texts(&source.name, quantity(source.volts), function.alternating));
    let load = function.load.as_ref().map(|load| texts(&load.name, quantity(load.amps), function.alternating));
    let left = source.as_ref().map_or(SOURCE, |texts| (widest(texts) + 32.0).max(SOURCE)).ceil();
    let beside = load.as_ref().map_or(LEAD, |texts| (widest(texts) + 32.0).ceil());
    let whole = WIDE - left - 2.0 * LEAD;
    let rooms = Rooms { whole, turning: whole - beside };
    let (feed, back) = (rows(&function.feed, rooms, true), rows(&function.back, rooms, false));
    let turning = row_width(&feed, feed.len().saturating_sub(1)).max(row_width(&back, 0));
    let right = left + turning.max(100.0) + 2.0 * LEAD;
    let widest = (0..back.len()).map(|at| row_width(&back, at)).fold(0.0, f64::max);
    let far = right.max(left + widest + 2.0 * LEAD);
    let mut round = Round { sheet: &mut sheet, kind, left, right, far, letters: 0, alternating: function.alternating };
    let upper = top + feed.first().map_or(LEAD, Row::above);
    let (mut end, mut foot) = round.feed(&feed, upper);
    let mut lower = foot + if function.load.is_some() { BETWEEN } else { BELOW + LEAD };
    match &function.load {
        Some(load) => {
            let corner = Point::new(round.right, end.y);
            round.sheet.line(kind, &[end, corner], None);
            round.load(load, load_texts(load, function), (end.y, lower));
            (end, foot) = round.back(&back, lower);
            lower = end.y;
            match function.closed {
                true => round.sheet.line(kind, &[end, Point::new(left, end.y)], None),
                false => round.sheet.symbol(Symbol::Stud, end.by(-3.0, 0.0), Turn::None, kind, None),
            }
        }
        None if function.closed => {
            let [corner, below] = [end.y, lower].map(|y| Point::new(round.right, y));
            round.sheet.line(kind, &[end, corner, below, Point::new(left, lower)], None);
            foot = lower;
        }
        None => {
            round.sheet.symbol(Symbol::Stud, end.by(3.0, 0.0), Turn::None, kind, None);
            foot = lower;
        }
    }
    if let (Some(source), Some(texts)) = (&function.source, source) {
        round.source(source, texts, function.closed, (upper, lower));
    }
    let letters = round.letters;
    let mut notes = vec![
        "Drawn at rest. Above a wire its number, below it size, colour and length. Below the line: what else is joined there, and where that leads."
            .to_owned(),
    ];
    notes.extend((letters > 0).then(|| "→ a goes on at a →, and a ← at ← a.".to_owned()));
    frame::notes(&mut sheet, foot + 52.0, notes);
    sheet.finish()
}

fn load_texts(load: &Consumer, function: &Function) -> [Text; 2] {
    texts(&load.name, quantity(load.amps), function.alternating)
}

/// What is written beside a source or load.
fn texts(name: &str, figure: String, alternating: bool) -> [Text; 2] {
    let figure = if alternating { format!("{figure} AC") } else { figure };
    [Text::bold(name).within(WIDEST), Text::small(figure)]
}

fn widest(texts: &[Text; 2]) -> f64 {
    texts.iter().map(Text::width).fold(0.0, f64::max)
}

/// The width of a row with what its cut ends take.
fn row_width(rows: &[Row<'_>], at: usize) -> f64 {
    let cuts = usize::from(at > 0) + usize::from(at + 1 < rows.len());
    rows.get(at).map_or(0.0, |row| row.width() + CUT * cuts as f64)
}

fn about(function: &Function) -> String {
    let count = function.feed.len() + function.back.len();
    let amps = quantity(function.amps);
    let kind = if function.alternating { "alternating current, " } else { "" };
    let how = match &function.mode {
        Some(mode) => format!("{kind}{amps} in mode {mode}"),
        None => format!("{kind}no current in any mode that was computed; drawn is what joins"),
    };
    let charged = function.feed.iter().filter(|stop| matches!(stop.kind, StopKind::Source { from_plus: true, .. })).count();
    let ends = match (&function.source, &function.load, function.closed) {
        (None, _, _) => "no source is joined to it",
        (Some(_), None, true) if charged > 0 => "it charges what is on the way and comes back",
        (Some(_), None, _) => "nothing takes its current",
        (Some(_), Some(_), false) => "the way does not come back to its source",
        (Some(_), Some(_), true) => "from its source and back",
    };
    format!("{how}; {count} things on the way, {ends}")
}

fn heading(sheet: &mut Sheet, design: &str, function: &Function, about: &str) -> f64 {
    let title = format!("Circuit of {}", function.name);
    let mut y = frame::heading(sheet, &title, &[design.to_owned(), about.to_owned()]);
    if function.class_b {
        y = frame::class_b(sheet, y, true);
    }
    y
}

/// The round of a current on its sheet.
struct Round<'s> {
    sheet: &'s mut Sheet,
    kind: LineKind,
    /// Where the lines through the source and through the load are.
    left: f64,
    right: f64,
    /// Where the further rows of the return begin.
    far: f64,
    letters: u32,
    alternating: bool,
}

impl Round<'_> {
    /// The rows of the feed, from the left; gives where the last ends, and how far down they reach.
    fn feed(&mut self, rows: &[Row<'_>], top: f64) -> (Point, f64) {
        let (mut y, mut end) = (top, Point::new(self.left + LEAD, top));
        self.sheet.line(self.kind, &[Point::new(self.left, y), end], None);
        for (at, row) in rows.iter().enumerate() {
            if at > 0 {
                y = self.next_row(y, rows.get(at - 1), row);
                end = self.begun(Point::new(self.left + LEAD, y), 1.0);
            }
            end = row.draw(self.sheet, self.kind, end, 1.0);
            if at + 1 < rows.len() {
                self.cut(end, 1.0);
            }
        }
        (end, y + rows.last().map_or(0.0, Row::below))
    }

    /// The rows of the return, from the right.
    fn back(&mut self, rows: &[Row<'_>], top: f64) -> (Point, f64) {
        let (mut y, mut end) = (top, Point::new(self.right - LEAD, top));
        self.sheet.line(self.kind, &[Point::new(self.right, y), end], None);
        for (at, row) in rows.iter().enumerate() {
            if at > 0 {
                y = self.next_row(y, rows.get(at - 1), row);
                end = self.begun(Point::new(self.far - LEAD, y), -1.0);
            }
            end = row.draw(self.sheet, self.kind, end, -1.0);
            if at + 1 < rows.len() {
                self.cut(end, -1.0);
            }
        }
        (end, y + rows.last().map_or(0.0, Row::below))
    }

    fn next_row(&self, y: f64, before: Option<&Row<'_>>, next: &Row<'_>) -> f64 {
        y + before.map_or(0.0, Row::below) + BELOW + next.above()
    }

    /// The cut end of a row, which goes on at a letter.
    fn cut(&mut self, end: Point, way: f64) {
        let stud = end.by(way * 10.0, 0.0);
        self.sheet.line(self.kind, &[end, stud.by(way * -3.0, 0.0)], None);
        self.sheet.symbol(Symbol::Stud, stud, Turn::None, self.kind, None);
        let letter = Letter(self.letters);
        self.letter(stud.by(way * 8.0, 5.0), way > 0.0, if way > 0.0 { format!("→ {letter}") } else { format!("{letter} ←") });
    }

    /// The beginning of a row that comes from the last letter; gives where its things may begin.
    fn begun(&mut self, at: Point, way: f64) -> Point {
        let letter = Letter(self.letters);
        self.letters += 1;
        let (stud, end) = (at.by(way * (CUT - 10.0), 0.0), at.by(way * CUT, 0.0));
        self.sheet.symbol(Symbol::Stud, stud, Turn::None, self.kind, None);
        self.sheet.line(self.kind, &[stud.by(way * 3.0, 0.0), end], None);
        self.letter(stud.by(way * -8.0, 5.0), way < 0.0, if way > 0.0 { format!("{letter} →") } else { format!("← {letter}") });
        end
    }

    fn letter(&mut self, at: Point, is_right: bool, words: String) {
        self.sheet.text(at, if is_right { Anchor::Start } else { Anchor::End }, Text::bold(words), None);
    }

    fn load(&mut self, load: &Consumer, texts: [Text; 2], (upper, lower): (f64, f64)) {
        let symbol = symbol_of_consumer(load);
        let (turn, reach) = upright(symbol);
        let at = Point::new(self.right, ((upper + lower) / 2.0).round());
        let thing = Some(self.sheet.thing(&load.name, format!("{}, takes {}", load.name, quantity(load.amps))));
        self.sheet.line(self.kind, &[Point::new(self.right, upper), at.by(0.0, -reach)], thing);
        self.sheet.line(self.kind, &[at.by(0.0, reach), Point::new(self.right, lower)], thing);
        self.sheet.symbol(symbol, at, turn, self.kind, thing);
        let beside = symbol.extent_at(at, turn).most.x + 8.0;
        self.beside(Point::new(beside, at.y), Anchor::Start, texts, thing);
    }

    fn source(&mut self, source: &Source, texts: [Text; 2], closed: bool, (upper, lower): (f64, f64)) {
        let symbol = symbol_of_source(source, self.alternating);
        let (turn, reach) = match upright(symbol) {
            (Turn::Quarter, reach) => (Turn::Back, reach),
            other => other,
        };
        let at = Point::new(self.left, ((upper + lower) / 2.0).round());
        let thing = Some(self.sheet.thing(&source.name, format!("source {}, {}", source.name, quantity(source.volts))));
        self.sheet.line(self.kind, &[Point::new(self.left, upper), at.by(0.0, -reach)], thing);
        let foot = if closed { lower } else { at.y + reach + 20.0 };
        self.sheet.line(self.kind, &[at.by(0.0, reach), Point::new(self.left, foot)], thing);
        self.sheet.symbol(symbol, at, turn, self.kind, thing);
        let left = symbol.extent_at(at, turn).least.x - 8.0;
        self.beside(Point::new(left, at.y), Anchor::End, texts, thing);
    }

    fn beside(&mut self, at: Point, anchor: Anchor, texts: [Text; 2], of: Option<ThingId>) {
        for (number, text) in texts.into_iter().enumerate() {
            self.sheet.text(at.by(0.0, 15.0 * number as f64), anchor, text, of);
        }
    }
}

/// How far a symbol reaches on a line from above: a converter is not turned, its sides say what is in and out.
fn upright(symbol: Symbol) -> (Turn, f64) {
    match symbol {
        Symbol::Converter(..) => (Turn::None, 20.0),
        _ => (Turn::Quarter, symbol.reach()),
    }
}
