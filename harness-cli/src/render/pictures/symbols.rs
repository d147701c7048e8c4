//! Which symbol a thing has.

use harness_core::views::{Consumer, ConsumerKind, LoadKind, PieceKind, Source, SourceKind};
use harness_draw::{Current, Symbol};

/// The symbol of what takes current.
pub(super) fn symbol_of_consumer(consumer: &Consumer) -> Symbol {
    match consumer.kind {
        ConsumerKind::Load(kind) => match kind {
            Some(LoadKind::Lamp) => Symbol::Lamp,
            Some(LoadKind::Motor | LoadKind::Starter) => Symbol::Motor,
            Some(LoadKind::Heater) => Symbol::Heater,
            Some(LoadKind::Coil) => Symbol::Actuator,
            Some(LoadKind::Electronics | LoadKind::Sensor) | None => Symbol::Electronics,
        },
        ConsumerKind::Coil => Symbol::Coil,
        ConsumerKind::Converter { takes_ac, gives_ac, .. } => Symbol::Converter(current(takes_ac), current(gives_ac)),
        ConsumerKind::Resistor(_) => Symbol::Resistor,
    }
}

const fn current(alternating: bool) -> Current {
    if alternating { Current::Alternating } else { Current::Direct }
}

/// The symbol of a source.
pub(super) fn symbol_of_source(source: &Source, ac: bool) -> Symbol {
    match source.kind {
        SourceKind::Cells => Symbol::Battery,
        SourceKind::Limited => Symbol::Source,
        SourceKind::Alternating => Symbol::Alternating,
        SourceKind::Converter { rectifies, .. } => Symbol::Converter(current(rectifies), current(ac)),
    }
}

/// What is on a way, in a word or two.
pub(super) const fn piece_noun(kind: PieceKind) -> &'static str {
    match kind {
        PieceKind::Fuse { fitted: true } => "fuse",
        PieceKind::Fuse { fitted: false } => "empty fuse holder",
        PieceKind::Switch => "switch",
        PieceKind::Selector => "selector contact",
        PieceKind::MakeContact => "make contact",
        PieceKind::BreakContact => "break contact",
        PieceKind::Disconnect => "disconnect",
        PieceKind::Diode => "diode",
        PieceKind::Resistor(_) => "resistor",
        PieceKind::Shunt(_) => "shunt",
    }
}

/// What takes current, in a word.
pub(super) fn consumer_noun(kind: ConsumerKind) -> &'static str {
    match kind {
        ConsumerKind::Load(kind) => kind.map_or("load", LoadKind::word),
        ConsumerKind::Coil => "coil",
        ConsumerKind::Converter { .. } => "converter",
        ConsumerKind::Resistor(_) => "resistor",
    }
}
