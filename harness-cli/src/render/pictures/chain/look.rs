//! How one thing of a way is written: its symbol, its lines of text, and the device at each of its two sides.

use crate::render::pictures::{
    power_tree::{piece_symbol, piece_title},
    symbols::{symbol_of_consumer, symbol_of_source},
    words::{holder, quantity, short},
};
use harness_core::views::{
    ConsumerKind, PieceKind,
    chain::{Half, Item, Spot, WirePart},
};
use harness_draw::{Symbol, Text, Turn};

/// The widest text of a way; a longer name loses its middle, and is whole where it is pointed at.
pub(super) const WIDEST: f64 = 150.0;

/// A thing of a way as it is written.
pub(super) struct Look {
    pub(super) symbol: Option<Symbol>,
    /// Drawn from its second end to its first.
    pub(super) turned: bool,
    /// Its name and what is said of it.
    pub(super) lines: Vec<Text>,
    /// The two halves of a joint.
    pub(super) halves: Option<[Text; 2]>,
    pub(super) key: String,
    /// The keys of what is joined here.
    pub(super) also: Vec<String>,
    pub(super) title: String,
    /// The device before and the one behind it.
    pub(super) devices: [Option<String>; 2],
}

fn name(text: &str) -> Text {
    Text::small(text).strong().within(WIDEST)
}

fn said(text: impl AsRef<str>) -> Text {
    Text::small(text).within(WIDEST)
}

impl Look {
    /// The width of its widest line.
    pub(super) fn width(&self) -> f64 {
        self.lines.iter().map(Text::width).fold(0.0, f64::max)
    }

    /// How its symbol is turned on a way that runs to the right, or down.
    pub(super) fn turn(&self, down: bool) -> Turn {
        match (down, self.turned, self.symbol) {
            // The sides of a converter say what goes in and comes out.
            (_, _, Some(Symbol::Converter(..))) => Turn::None,
            (false, false, _) => Turn::None,
            (false, true, _) => Turn::Half,
            (true, false, _) => Turn::Quarter,
            (true, true, _) => Turn::Back,
        }
    }

    /// How far its symbol reaches along the way to each side.
    pub(super) fn reach(&self) -> f64 {
        self.symbol.map_or(0.0, Symbol::reach)
    }
}

/// What a thing in a way looks like.
pub(super) fn look(item: &Item) -> Look {
    let both = |device: &Option<String>| [device.clone(), device.clone()];
    let own = |device: &Option<String>, of: &str| short(of, device.as_deref().unwrap_or("")).to_owned();
    match item {
        Item::Piece { piece, device, turned } => {
            let mut lines = vec![name(&own(device, &piece.name))];
            lines.extend(match piece.kind {
                PieceKind::Resistor(ohms) | PieceKind::Shunt(ohms) => Some(said(quantity(ohms))),
                PieceKind::Fuse { fitted: false } => Some(said("no fuse fitted")),
                PieceKind::BreakContact => Some(said("shut at rest")),
                PieceKind::Fuse { fitted: true } | PieceKind::Switch | PieceKind::Selector | PieceKind::MakeContact => {
                    piece.rating.map(|rating| said(quantity(rating)))
                }
                PieceKind::Disconnect | PieceKind::Diode => piece.rating.map(|rating| said(quantity(rating))),
            });
            let symbol = match piece.kind {
                PieceKind::Fuse { fitted: false } => None,
                kind => Some(piece_symbol(kind)),
            };
            // A contact has its blade at the side of the current, whichever way it was written.
            let turned = *turned && piece.kind == PieceKind::Diode;
            Look {
                symbol,
                turned,
                lines,
                halves: None,
                key: piece.name.clone(),
                also: Vec::new(),
                title: piece_title(piece),
                devices: both(device),
            }
        }
        Item::Source { source, device, plus_first, ac } => {
            let mut lines = vec![name(&own(device, &source.name)), said(quantity(source.volts))];
            if source.limit.is_some() || *ac {
                lines.extend(source.limit.map(|limit| said(format!("up to {}", quantity(limit)))));
            }
            Look {
                symbol: Some(symbol_of_source(source, *ac)),
                turned: *plus_first,
                lines,
                halves: None,
                key: source.name.clone(),
                also: Vec::new(),
                title: format!("source {} in {}, {}", source.name, source.holder, quantity(source.volts)),
                devices: both(device),
            }
        }
        Item::Consumer { consumer, device, .. } => {
            let mut lines = vec![name(&own(device, &consumer.name))];
            lines.extend(match consumer.kind {
                ConsumerKind::Load(kind) => kind.map(|kind| said(kind.word())),
                ConsumerKind::Coil => Some(said("coil")),
                ConsumerKind::Converter { output, .. } => Some(said(format!("to {}", quantity(output)))),
                ConsumerKind::Resistor(ohms) => Some(said(quantity(ohms))),
            });
            Look {
                symbol: Some(symbol_of_consumer(consumer)),
                turned: false,
                lines,
                halves: None,
                key: consumer.name.clone(),
                also: Vec::new(),
                title: format!("consumer {} in {}", consumer.name, consumer.holder),
                devices: both(device),
            }
        }
        Item::Capacitor { name: of, device, farad } => Look {
            symbol: Some(Symbol::Capacitor),
            turned: false,
            lines: vec![name(&own(device, of)), said(quantity(farad))],
            halves: None,
            key: of.clone(),
            also: Vec::new(),
            title: format!("capacitor {of}, {}", quantity(farad)),
            devices: both(device),
        },
        Item::Undrawn { device, pins: [a, b] } => Look {
            symbol: Some(Symbol::Electronics),
            turned: false,
            lines: vec![said("nothing drawn"), said("inside")],
            halves: None,
            key: device.clone(),
            also: Vec::new(),
            title: format!("{device}: nothing is drawn between {a} and {b}"),
            devices: [Some(device.clone()), Some(device.clone())],
        },
        Item::Joint { halves: [a, b], is_plug } => joint(a, b, *is_plug),
        Item::Wire(wire) => wire_look(wire),
    }
}

fn joint(a: &Half, b: &Half, is_plug: bool) -> Look {
    let half = |half: &Half| said(short(&half.point, half.device.as_deref().unwrap_or_else(|| holder(&half.point))));
    // The pin is at the left or upper side unless the housings say otherwise.
    let turned = match (a.is_pin, b.is_pin) {
        (Some(is_pin), _) => !is_pin,
        (None, Some(is_pin)) => is_pin,
        (None, None) => a.device.is_none() && b.device.is_some(),
    };
    let what = if is_plug { "mated contact" } else { "joint" };
    Look {
        symbol: Some(if is_plug { Symbol::Pair } else { Symbol::Stud }),
        turned,
        lines: Vec::new(),
        halves: Some([half(a), half(b)]),
        key: a.of.clone(),
        also: vec![b.of.clone()],
        title: format!("{what} {}, {}", a.point, b.point),
        devices: [a.device.clone(), b.device.clone()],
    }
}

fn wire_look(wire: &WirePart) -> Look {
    let size = wire.size.map(quantity);
    let about: Vec<String> = size.into_iter().chain(wire.colour.clone()).collect();
    let mut lines = vec![said(&wire.name)];
    if !about.is_empty() {
        lines.push(said(about.join(" ")));
    }
    let length = wire.length.map_or_else(String::new, |length| format!(", {}", quantity(length)));
    let cable = wire.cable.as_ref().map_or_else(String::new, |cable| format!(", core of {cable}"));
    Look {
        symbol: None,
        turned: false,
        lines,
        halves: None,
        key: wire.name.clone(),
        also: Vec::new(),
        title: format!("wire {}{cable}{length}", wire.name),
        devices: [None, None],
    }
}

/// A line at a place, with the key of what it names.
pub(super) type Word = (Text, Option<String>);

/// What is written at a place: its bars and splice, and the letters at which more is joined to it.
pub(super) fn spot_words(spot: &Spot) -> Vec<Word> {
    let own = spot.device.as_deref().unwrap_or("");
    let names = spot.names.iter().map(|of| (said(short(of, own)), Some(of.clone())));
    let letters: Vec<String> = spot.letters.iter().map(|letter| format!("→ {letter}")).collect();
    let letters = letters.chunks(4).map(|some| (name(&some.join(" ")), None));
    names.chain(letters).collect()
}

/// The width of the widest of some lines.
pub(super) fn widest(words: &[Word]) -> f64 {
    words.iter().map(|(text, _)| text.width()).fold(0.0, f64::max)
}
