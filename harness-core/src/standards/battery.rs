//! Batteries: how far the voltages of strings may stand apart before something is built in wrongly.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, Ratio, Second};

static BELOW: Source = Source::practice("open voltage of a battery between full and empty against its nominal one");
static APART: Source =
    Source::practice("batteries are joined side by side when their open voltages agree to a tenth of a volt in 12 V");
static FLAT: Source = Source::memory(
    "open voltage of a flat battery over its nominal one: 10.8 V of 12.7 V for lead, 2.8 V of 3.3 V for a lithium cell",
);
static STEP: Source = Source::practice("half a cell: what a discharged cell and its neighbour never differ by");
static RESISTANCE: Source =
    Source::practice("internal resistance of a 12 V battery or a converter's output of which none is given");
static AGED: Source = Source::practice("a battery is worn out, or cold, when its internal resistance has doubled");
static DAY: Source = Source::computed("length of a day", "24 hours");

/// How far the open voltage of a string may lie below the nominal one of its domain.
///
/// A lead battery rests at 2 % below its 12 V when it is empty, lithium cells at up to 10 %; a string of nine modules or fewer from
/// which one is missing lies further below.
#[must_use]
pub fn below_nominal() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.1), &BELOW)
}

/// How far the open voltages of strings side by side may stand apart.
#[must_use]
pub fn apart() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.01), &APART)
}

/// Open voltage of a flat battery over the one that the design gives.
#[must_use]
pub fn flat_over_given() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.85), &FLAT)
}

/// How far the voltage between two taps may stand off that between most others.
#[must_use]
pub fn tap_step() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.5), &STEP)
}

/// The length of a day.
#[must_use]
pub fn day() -> Sourced<Second> {
    Sourced::new(Second::new(86_400.0), &DAY)
}

/// Internal resistance of a source, or output resistance of a converter, of which the design gives none.
#[must_use]
pub fn source_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(10e-3), &RESISTANCE)
}

/// Resistance of an aged, cold battery over that of a new, warm one, where the design gives one of the two.
#[must_use]
pub fn aged_over_new() -> Sourced<f64> {
    Sourced::new(2.0, &AGED)
}
