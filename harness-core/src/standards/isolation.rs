//! How the isolation between a system of class B and the chassis is measured: with a voltmeter and a known resistor, or with an insulation tester.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, Ratio, Volt};

static METHOD: Source = Source::seen(
    "UN R100 annex: Ri = R0 x Vb x (1/V1' - 1/V1), with V2 and V2' where V2 is the higher one",
    "text of the regulation and of a draft that transposes it",
);
static KNOWN: Source = Source::seen(
    "UN R100 annex: R0 is the least ohm per volt times the nominal voltage, within 20 %; any R0 is valid",
    "text of the regulation",
);
static METER: Source =
    Source::seen("draft that transposes UN R100, annex: a voltmeter of 10 Mohm or more", "page of a collection of regulations");
static HALF: Source =
    Source::seen("UN R100: a test voltage of at least half the working voltage", "quoted text of the regulation");
static WHOLE: Source =
    Source::seen("ISO 6469-3, 8.2.2: a test voltage of at least the maximum working voltage", "page of a standards catalogue");
static KNOWN_ERROR: Source = Source::practice("a resistor of the workshop is within 5 % of what is written on it");

/// The method of three readings: the isolation resistance of the weaker side, from the higher one of the two voltages between a pole and the
/// chassis `without` the known resistor, the same `with` the resistor between that pole and the chassis, and the voltage of the battery.
///
/// The resistance of the voltmeter drops out: it is at the same pole both times. `None` unless `0 < with < without`.
#[must_use]
pub fn by_three_readings(known: Ohm, battery: Volt, without: Volt, with: Volt) -> Option<Ohm> {
    let (known, battery, without, with) = (known.get(), battery.get(), without.get(), with.get());
    (known > 0.0 && battery > 0.0 && with > 0.0 && with < without)
        .then(|| Ohm::new(known * battery * (1.0 / with - 1.0 / without)))
}

/// Where the method comes from.
#[must_use]
pub fn method() -> &'static Source {
    &METHOD
}

/// The known resistor that the method asks for, for so many ohms per volt at a nominal voltage.
#[must_use]
pub fn known_resistor(per_volt: Ohm, nominal: Volt) -> Sourced<Ohm> {
    Sourced::new(Ohm::new(per_volt.get() * nominal.get().abs()), &KNOWN)
}

/// Error of the known resistor where nothing is said of it.
#[must_use]
pub fn known_error() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.05), &KNOWN_ERROR)
}

/// Least input resistance of the voltmeter.
#[must_use]
pub fn meter_input() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(10e6), &METER)
}

/// The test voltages of an insulation tester for a highest working voltage, that of the regulation and that of the standard: they differ.
#[must_use]
pub fn test_voltages(working: Volt) -> [Sourced<Volt>; 2] {
    [Sourced::new(Volt::new(working.get() / 2.0), &HALF), Sourced::new(working, &WHOLE)]
}
