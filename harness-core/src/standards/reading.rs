//! How far a sound reading may be from the computed one, and what hands may join while something flows.

use super::source::{Source, Sourced};
use crate::quantity::{Ampere, Ohm, Ratio, Volt};

static BATTERY: Source = Source::practice("a battery at rest is within 5 % of its open-circuit voltage, half full or full");
static REGULATED: Source = Source::practice("what regulates its voltage holds it within 2 %");
static RESISTORS: Source = Source::practice("a divider of two resistors is within 5 %");
static LOADS: Source = Source::practice("what a load takes is within 25 % of what is written on it");
static METER: Source = Source::practice("a voltmeter of a workshop is within 1 % and 2 digits");
static NOTHING: Source = Source::practice("a sound conductor that nothing feeds reads below 0.1 V");
static CLAMP: Source = Source::practice("a clamp meter for direct current is within 0.1 A of zero");
static SPARK: Source = Source::practice("a contact of voltage class A that makes 1 A or less by hand does not burn");
static FITTED: Source = Source::practice("fuses of more than 60 A, and those between two studs, are bolted");
static TRICKLE: Source = Source::practice("a contact of voltage class B is worked by hand with less than 50 mA in it");
static LEADS: Source = Source::practice("two leads of a meter have 0.2 ohm");

/// Spread of the voltage of a battery at rest.
#[must_use]
pub fn battery_spread() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.05), &BATTERY)
}

/// Spread of a regulated voltage: a converter, a generator, a charger.
#[must_use]
pub fn regulated_spread() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.02), &REGULATED)
}

/// Spread of a voltage that resistors make.
#[must_use]
pub fn divided_spread() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.05), &RESISTORS)
}

/// Spread of the current of a load.
#[must_use]
pub fn load_spread() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.25), &LOADS)
}

/// Error of a voltmeter, of its reading.
#[must_use]
pub fn meter_error() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.01), &METER)
}

/// Error of a voltmeter in steps of its last digit.
pub const METER_DIGITS: f64 = 2.0;

/// One step of the last digit of a meter that shows 2000 steps, in the range for `volts`.
#[must_use]
pub fn digit(volts: Volt) -> Volt {
    Volt::new(match volts.get().abs() {
        volts if volts < 2.0 => 1e-3,
        volts if volts < 20.0 => 1e-2,
        volts if volts < 200.0 => 1e-1,
        _ => 1.0,
    })
}

/// What a voltmeter shows where there is nothing.
#[must_use]
pub fn nothing() -> Sourced<Volt> {
    Sourced::new(Volt::new(0.1), &NOTHING)
}

/// Error of a clamp meter.
#[must_use]
pub fn clamp_error() -> Sourced<Ampere> {
    Sourced::new(Ampere::new(0.1), &CLAMP)
}

/// Resistance of the leads of a meter where the design gives none.
#[must_use]
pub fn meter_leads() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.2), &LEADS)
}

/// Current from which on a contact of class A is not joined or opened by hand without a word.
#[must_use]
pub fn spark() -> Sourced<Ampere> {
    Sourced::new(Ampere::new(1.0), &SPARK)
}

/// Current from which on a contact of class B is not worked by hand at all: what bleeds off and measures stays below it.
#[must_use]
pub fn trickle() -> Sourced<Ampere> {
    Sourced::new(Ampere::new(0.05), &TRICKLE)
}

/// Rating above which a fuse is bolted.
#[must_use]
pub fn bolted_above() -> Sourced<Ampere> {
    Sourced::new(Ampere::new(60.0), &FITTED)
}
