//! Protective conductors and bonds: how thick, and how well they must conduct.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, SquareMillimetre};

static SIZE: Source = Source::memory("IEC 60364-5-54 table 54.2");
static CONTINUITY: Source = Source::seen("UN R100 5.1.2.2, at 0.2 A or more", "text of the regulation");

/// Least cross-section of a copper protective conductor beside live conductors of `live`.
///
/// The live size up to 16 mm2, 16 mm2 up to 35 mm2, half the live size above.
#[must_use]
pub fn least_size(live: SquareMillimetre) -> Sourced<SquareMillimetre> {
    let least = match live.get() {
        live if live <= 16.0 => live,
        live if live <= 35.0 => 16.0,
        live => live / 2.0,
    };
    Sourced::new(SquareMillimetre::new(least), &SIZE)
}

/// Resistance between an exposed conductive part and the chassis that must not be reached.
#[must_use]
pub fn continuity() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.1), &CONTINUITY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_has_three_bands() {
        let least = |live| least_size(SquareMillimetre::new(live)).value.get();
        assert_eq!([4.0, 16.0, 16.1, 35.0, 50.0, 95.0].map(least), [4.0, 16.0, 16.0, 16.0, 25.0, 47.5]);
    }
}
