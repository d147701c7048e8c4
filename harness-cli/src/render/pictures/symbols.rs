//! Which symbol a thing has.

use harness_core::views::{Consumer, ConsumerKind, LoadKind, Source, SourceKind};
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
        ConsumerKind::Converter { rectifies, .. } => {
            let input = if rectifies { Current::Alternating } else { Current::Direct };
            Symbol::Converter(input, Current::Direct)
        }
        ConsumerKind::Resistor(_) => Symbol::Resistor,
    }
}

/// The symbol of a source.
pub(super) fn symbol_of_source(source: &Source, ac: bool) -> Symbol {
    match source.kind {
        SourceKind::Cells => Symbol::Battery,
        SourceKind::Limited | SourceKind::Alternating => Symbol::Source,
        SourceKind::Converter { rectifies, .. } => {
            let input = if rectifies { Current::Alternating } else { Current::Direct };
            Symbol::Converter(input, if ac { Current::Alternating } else { Current::Direct })
        }
    }
}
