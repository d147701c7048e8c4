//! What a meter on the bench shows of a sound loom: its own errors, and the limits that the trade takes where a design gives no figure.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, Ratio, Volt};

static LEADS: Source = Source::practice(
    "what is left of the leads of a meter, 0.1 to 0.4 ohm, when its tips were held together first and the reading was subtracted",
);
static ERROR: Source = Source::practice("error of a hand-held meter in ohms: 1 % and 2 digits");
static DIGITS: Source = Source::practice("2 digits of a meter that shows tenths of an ohm");
static OPEN: Source = Source::practice("reading from which two conductors that nothing joins count as open");
static RESISTOR: Source = Source::practice("tolerance of a resistor of which nothing is said");
static CONTINUITY: Source = Source::second_hand(
    "IPC/WHMA-A-620 revision A, class 3, continuity unless otherwise agreed: 2 ohm",
    "guideline page of a maker of test equipment",
);
static HALF: Source = Source::seen("UN R100: at least half the working voltage", "text of the regulation");
static FULL: Source = Source::seen("ISO 6469-3, 8.2.2: at least the highest working voltage", "page of a standards catalogue");
static STEPS: Source = Source::practice("test voltages of insulation testers: 250, 500, 1000 V");
static DIODE: Source = Source::practice("current of a meter that tests diodes: 1 mA, shown up to 2 V");

/// Resistance of the leads of a meter that is left when they were shorted and subtracted.
#[must_use]
pub fn leads() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.2), &LEADS)
}

/// Error of a meter in ohms, as a share of what it shows.
#[must_use]
pub fn error() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.01), &ERROR)
}

/// Error of a meter in ohms beside the share: its last digits.
#[must_use]
pub fn digits() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.2), &DIGITS)
}

/// Reading from which two points count as open.
#[must_use]
pub fn open() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(1e6), &OPEN)
}

/// Tolerance of a resistor.
#[must_use]
pub fn resistor_tolerance() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.05), &RESISTOR)
}

/// Limit of continuity where the resistance of a conductor can't be computed.
#[must_use]
pub fn continuity() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(2.0), &CONTINUITY)
}

/// Voltage of an insulation test, as a share of the working voltage, by the two texts that differ: the lower and the higher one.
#[must_use]
pub fn insulation_test() -> [Sourced<Ratio>; 2] {
    [Sourced::new(Ratio::new(0.5), &HALF), Sourced::new(Ratio::new(1.0), &FULL)]
}

/// The least voltage of a usual insulation tester that is not below `volts`; `None` above the highest.
#[must_use]
pub fn tester_step(volts: Volt) -> Option<Sourced<Volt>> {
    [250.0, 500.0, 1000.0].into_iter().find(|step| *step >= volts.get()).map(|step| Sourced::new(Volt::new(step), &STEPS))
}

/// Most volts that a test of diodes shows, at one milliampere.
#[must_use]
pub fn diode_range() -> Sourced<Volt> {
    Sourced::new(Volt::new(2.0), &DIODE)
}
