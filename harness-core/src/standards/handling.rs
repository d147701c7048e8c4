//! Least cross-sections that survive being pulled, tied and vibrated.

use super::source::{Source, Sourced};
use crate::quantity::SquareMillimetre;

static SHEATHED: Source = Source::seen("ISO 10133:2012 7.7, inside a multi-core sheath", "page of a standards catalogue");
static SEPARATE: Source = Source::seen("ISO 10133:2012 7.7, laid separately", "page of a standards catalogue");
static ROAD: Source = Source::practice("least single wire of a road-vehicle loom");

/// Least size of a conductor inside a multi-core sheath, on a boat.
#[must_use]
pub fn marine_sheathed() -> Sourced<SquareMillimetre> {
    Sourced::new(SquareMillimetre::new(0.75), &SHEATHED)
}

/// Least size of a conductor laid separately, on a boat.
#[must_use]
pub fn marine_separate() -> Sourced<SquareMillimetre> {
    Sourced::new(SquareMillimetre::new(1.0), &SEPARATE)
}

/// Least size of a single wire in a road-vehicle loom, which a default policy uses; thinner wire, such as 0.22 mm2, warns.
///
/// Habit and not a standard: the boat rules are stricter and a workshop that builds to them states its own limit.
#[must_use]
pub fn road_single() -> Sourced<SquareMillimetre> {
    Sourced::new(SquareMillimetre::new(0.35), &ROAD)
}
