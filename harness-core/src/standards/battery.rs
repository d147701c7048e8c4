//! Batteries: how far the voltages of strings may differ before something is built in wrongly.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, Ratio, Second};

static BELOW: Source = Source::practice("open-circuit voltage of a battery between full and empty against its nominal one");
static APART: Source =
    Source::practice("batteries are joined side by side when their open-circuit voltages agree to a tenth of a volt in 12 V");
static CHARGER: Source = Source::practice(
    "a charger gives more than the open-circuit voltage of its battery; a tenth below it, it is one for another battery",
);
static FLAT: Source = Source::memory(
    "open-circuit voltage of a flat battery over its nominal one: 10.8 V of 12.7 V for lead, 2.8 V of 3.3 V for a lithium cell",
);
static CHARGING: Source =
    Source::memory("a generator or charger gives 13.8 V or more to a battery of 12.8 V; batteries side by side differ by less");
static STEP: Source = Source::practice("half a cell: what a discharged cell and its neighbour never differ by");
static RESISTANCE: Source =
    Source::practice("internal resistance of a 12 V battery or a converter's output of which none is given");
static AGED: Source = Source::practice("a battery is worn out, or cold, when its internal resistance has doubled");
static DAY: Source = Source::computed("length of a day", "24 hours");

/// How far the open-circuit voltage of a string may be below the nominal one of its domain.
///
/// A lead battery is at 2 % below its 12 V when it is empty, lithium cells at up to 10 %; a string of nine modules or fewer from
/// which one is missing is further below.
#[must_use]
pub fn below_nominal() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.1), &BELOW)
}

/// How far the open-circuit voltages of strings in parallel may differ.
#[must_use]
pub fn apart() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.01), &APART)
}

/// How far a charger may be below the open-circuit voltage of the battery that it is joined to before it is one for another battery.
#[must_use]
pub fn charger_below() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.1), &CHARGER)
}

/// Open-circuit voltage of a flat battery over the one that the design gives.
#[must_use]
pub fn flat_over_given() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.85), &FLAT)
}

/// Voltage from which a source without a limit is taken for what charges the battery beside it, over the open-circuit voltage of the battery.
#[must_use]
pub fn charging_over_given() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(1.07), &CHARGING)
}

/// How far the voltage between two taps may differ from that between most others.
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

/// The two internal resistances of a source: a new, warm battery drives the largest current into a short, an aged, cold one the
/// smallest, which opens a fuse last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InnerResistance {
    /// The least.
    pub new: Ohm,
    /// The most.
    pub aged: Ohm,
    /// Which of the two was assumed.
    pub assumed: Assumed,
}

/// What of an internal resistance the design does not give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assumed {
    /// Both are given.
    Nothing,
    /// The aged one follows from the new one.
    Aged,
    /// The new one follows from the aged one.
    New,
    /// Neither is given.
    Both,
}

impl InnerResistance {
    /// What is given, and the other one by [`aged_over_new`]; never an aged resistance below the new one.
    #[must_use]
    pub fn of(new: Option<Ohm>, aged: Option<Ohm>) -> Self {
        let ratio = aged_over_new().value;
        match (new, aged) {
            (Some(new), Some(aged)) => Self { new, aged: aged.max(new), assumed: Assumed::Nothing },
            (Some(new), None) => Self { new, aged: new * ratio, assumed: Assumed::Aged },
            (None, Some(aged)) => Self { new: aged / ratio, aged, assumed: Assumed::New },
            (None, None) => {
                let new = source_resistance().value;
                Self { new, aged: new * ratio, assumed: Assumed::Both }
            }
        }
    }
}
