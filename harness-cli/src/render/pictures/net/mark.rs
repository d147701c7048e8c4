//! What is at the end of a run: its symbol, its name, and what it is.

use crate::render::pictures::{
    power_tree::piece_symbol,
    symbols::{consumer_noun, piece_noun, symbol_of_consumer, symbol_of_source},
    words::quantity,
};
use harness_core::views::{Letter, PieceKind, Source, net::End};
use harness_draw::{Anchor, LineKind, Point, Sheet, Symbol, Text, Turn};

/// The widest name and the widest words of an end.
const NAME: f64 = 280.0;
const WORDS: f64 = 150.0;
/// From the symbol to its name, and room behind it.
const BESIDE: f64 = 8.0;
/// A line on that is seen to lead further.
const STUB: f64 = 8.0;

/// An end as it is drawn.
pub(super) struct Mark {
    symbol: Symbol,
    turn: Turn,
    name: Text,
    words: Text,
    /// The thing that it is and what is said of it; `None` for a letter.
    of: Option<(String, String)>,
    /// Whether it leads on to another net.
    leads_on: bool,
    is_absent: bool,
}

impl Mark {
    /// The mark of an end at the right of its line, or at the left.
    pub(super) fn of(end: &End, is_left: bool) -> Self {
        match end {
            End::Piece(piece) => {
                let figure = match piece.kind {
                    PieceKind::Resistor(ohms) | PieceKind::Shunt(ohms) => Some(quantity(ohms)),
                    PieceKind::Fuse { .. } | PieceKind::Switch | PieceKind::Selector | PieceKind::MakeContact => {
                        piece.rating.map(quantity)
                    }
                    PieceKind::BreakContact | PieceKind::Disconnect | PieceKind::Diode => piece.rating.map(quantity),
                };
                let figure = figure.map_or_else(String::new, |figure| format!(", {figure}"));
                Self {
                    leads_on: true,
                    ..Self::named(piece_symbol(piece.kind), &piece.name, &format!("{}{figure}", piece_noun(piece.kind)))
                }
            }
            End::Consumer(consumer) => {
                let words = format!("{}, {}", consumer_noun(consumer.kind), quantity(consumer.amps));
                Self::named(symbol_of_consumer(consumer), &consumer.name, &words)
            }
            End::Source(source, is_plus) => Self::source(source, *is_plus, is_left),
            End::Capacitor(name) => Self::named(Symbol::Capacitor, name, "capacitor"),
            End::Interlock(name) => Self { leads_on: true, ..Self::named(Symbol::Link, name, "interlock bridge") },
            End::Absent(name) => Self { is_absent: true, ..Self::named(Symbol::Stud, name, "not fitted in this build") },
            End::Point(name, signal) => {
                let words = signal.as_ref().map_or_else(|| "nothing else joined".to_owned(), |signal| format!("signal {signal}"));
                Self::named(Symbol::Stud, name, &words)
            }
            End::To(letter) => Self::letter(*letter, true),
            End::From(letter) => Self::letter(*letter, false),
        }
    }

    fn named(symbol: Symbol, name: &str, words: &str) -> Self {
        Self {
            symbol,
            turn: Turn::None,
            name: Text::bold(name).within(NAME),
            words: Text::small(words).within(WORDS),
            of: Some((name.to_owned(), format!("{name}, {words}"))),
            leads_on: false,
            is_absent: false,
        }
    }

    /// Cells have the pole at the line that the net is at.
    fn source(source: &Source, is_plus: bool, is_left: bool) -> Self {
        let pole = if is_plus { "plus" } else { "minus" };
        let words = format!("{pole}, {}", quantity(source.volts));
        // Plus of the symbol is right: a mark at the left of its line meets it there.
        let turn = if is_plus == is_left { Turn::None } else { Turn::Half };
        Self { turn, ..Self::named(symbol_of_source(source, false), &source.name, &words) }
    }

    /// A cut end: the line goes on at the letter, or comes from it.
    pub(super) fn letter(letter: Letter, goes_on: bool) -> Self {
        let words = if goes_on { format!("→ {letter}") } else { format!("{letter} →") };
        Self { of: None, name: Text::bold(words), words: Text::small(""), ..Self::named(Symbol::Stud, "", "") }
    }

    /// The width of all of it.
    pub(super) fn width(&self) -> f64 {
        let stub = if self.leads_on { STUB } else { 0.0 };
        (2.0 * self.reach() + stub + 2.0 * BESIDE + self.name.width().max(self.words.width())).ceil()
    }

    fn reach(&self) -> f64 {
        let extent = self.symbol.extent_at(Point::default(), self.turn);
        extent.most.x.max(-extent.least.x)
    }

    /// What it takes above its line and below.
    pub(super) fn height(&self) -> (f64, f64) {
        let extent = self.symbol.extent_at(Point::default(), self.turn);
        let words = if self.words.words().is_empty() { 13.0 } else { 18.0 };
        ((-extent.least.y + 4.0).max(15.0), (extent.most.y + 4.0).max(words))
    }

    /// Draws it with its line ending at `at`, to the right where `way` is positive, else to the left.
    pub(super) fn draw(&self, sheet: &mut Sheet, kind: LineKind, at: Point, way: f64) {
        let thing = self.of.as_ref().map(|(name, words)| sheet.thing(name, words));
        let reach = self.reach();
        let middle = at.by(way * reach, 0.0);
        let [first, second] = self.symbol.ends(middle, self.turn);
        let (near, far) = if (first.x < second.x) == (way > 0.0) { (first, second) } else { (second, first) };
        let own = if self.is_absent { LineKind::NotFitted } else { kind };
        sheet.line(own, &[at, near], thing);
        sheet.symbol(self.symbol, middle, self.turn, kind, thing);
        let mut x = middle.x + way * (reach + BESIDE);
        if self.leads_on {
            sheet.line(kind, &[far, Point::new(middle.x + way * (reach + STUB), at.y)], thing);
            x += way * STUB;
        }
        let anchor = if way > 0.0 { Anchor::Start } else { Anchor::End };
        let rise = if self.words.words().is_empty() { 5.0 } else { -1.0 };
        sheet.text(Point::new(x, at.y + rise), anchor, self.name.clone(), thing);
        sheet.text(Point::new(x, at.y + 14.0), anchor, self.words.clone(), thing);
    }
}
