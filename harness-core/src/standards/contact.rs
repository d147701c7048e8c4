//! Contacts, joints and small elements: derating, and the values taken where a design states none.

use super::{
    data::{self, Place, fuse as table},
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Ohm, Ratio, Volt};

static DERATING: Source = Source::seen("ISO/IEC 60512-5-2 derating curve, all contacts loaded", "datasheets of three connectors");
static PLUG: Source = Source::practice("resistance of a mated plug contact");
static BOLTED: Source = Source::practice("resistance of a bolted joint");
static CLOSED: Source = Source::practice("resistance of a closed switch or link");
static COIL: Source = Source::seen("mini relay, 12 V coil of 60 to 80 ohm", "datasheet of a relay");
static ECONOMISED: Source = Source::practice("an economiser leaves a tenth to a quarter of the current at pull-in");
static PULL_IN: Source = Source::practice("pull-in voltage of a relay");
static COIL_MOST: Source = Source::practice(
    "a coil pulls in at half to 80 % of its nominal voltage and takes up to 130 % of it, or twice in one that reduces its own current",
);
static COIL_SURE: Source = Source::practice("a coil pulls in at half of its nominal voltage or more and takes up to 130 % of it");
static HOLD: Source = Source::practice("voltage below which a DC relay is sure to let go, a tenth of its nominal one");
static SHUNT: Source =
    Source::practice("a shunt drops 50 to 100 mV at its rated current; one for 10 A has 10 milliohm, all for more have less");
static DIODE_SLOPE: Source = Source::practice("resistance of a conducting silicon diode");
static DIODE: Source = Source::practice("forward drop of a silicon diode");
static BETWEEN_COLD: Source = Source::computed("ISO 8820-3 type C", "between rows of a maker's table that a public note quotes");
static ABOVE_COLD: Source =
    Source::computed("ISO 8820-3 type C", "0.8 of the 77 mV that the quoted 10 A fuse drops cold; no row for larger fuses");
static BELOW_COLD: Source = Source::computed("ISO 8820-3 type C", "the 123 mV that the quoted 1 A fuse drops cold");

/// Larger fuses drop less than the last quoted row; this share of its drop is assumed for them.
const LARGE_FUSE_SHARE: f64 = 0.8;

/// Factor on a contact's base current with all contacts of the connector loaded.
#[must_use]
pub fn loaded_factor() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.8), &DERATING)
}

/// Current per contact, with all contacts loaded, from the base curve's current.
#[must_use]
pub fn derated(base: Ampere) -> Sourced<Ampere> {
    loaded_factor().map(|factor| Ampere::new(base.get() * factor.get()))
}

/// Resistance of a mated plug contact.
#[must_use]
pub fn plug_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(2e-3), &PLUG)
}

/// Resistance of a bolted joint, one ring on a stud.
#[must_use]
pub fn bolted_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.1e-3), &BOLTED)
}

/// Resistance of a closed switch, relay contact or fitted link.
#[must_use]
pub fn closed_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.1e-3), &CLOSED)
}

/// Resistance of the coil of a 12 V relay: the upper end of what was seen.
#[must_use]
pub fn coil_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(80.0), &COIL)
}

/// Share of its current at pull-in that a coil takes for good where an economiser works: the upper end.
#[must_use]
pub fn economised() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.25), &ECONOMISED)
}

/// Voltage at which a relay pulls in, as a share of its nominal voltage.
#[must_use]
pub fn pull_in() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.6), &PULL_IN)
}

/// The most that a coil of any kind takes, as a multiple of the voltage at which it pulls in.
#[must_use]
pub fn coil_most() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(4.0), &COIL_MOST)
}

/// What every coil takes, as a multiple of the voltage at which it pulls in.
#[must_use]
pub fn coil_sure() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(2.6), &COIL_SURE)
}

/// Voltage down to which a relay that has pulled in may stay in, as a share of its nominal voltage.
///
/// The least favourable one: most let go earlier, and only below this all are sure to.
#[must_use]
pub fn hold() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.1), &HOLD)
}

/// Forward drop of a diode.
#[must_use]
pub fn diode_drop() -> Sourced<Volt> {
    Sourced::new(Volt::new(0.7), &DIODE)
}

/// Largest resistance of a resistor that counts as a shunt: it measures a current and does not limit one.
#[must_use]
pub fn shunt_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(10e-3), &SHUNT)
}

/// Resistance of a conducting diode beside its forward drop.
#[must_use]
pub fn diode_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(10e-3), &DIODE_SLOPE)
}

/// Cold resistance of a fuse of this rating; `None` for a rating that is not above zero.
///
/// Quoted rows from 1 to 10 A, on logarithms between them. Outside, the voltage that the nearest row drops is kept, above
/// 10 A four fifths of it, because larger fuses drop less.
#[must_use]
pub fn fuse_resistance(rating: Ampere) -> Option<Sourced<Ohm>> {
    let amps = rating.get();
    if amps <= 0.0 {
        return None;
    }
    let (milliohm, source) = match data::place(table::COLD_RESISTANCE, amps)? {
        Place::On(row) => (row.value, row.source),
        Place::Between(lower, upper) => (data::log_log(lower, upper, amps), &BETWEEN_COLD),
        Place::Below(first) => (first.at * first.value / amps, &BELOW_COLD),
        Place::Above(last) => (LARGE_FUSE_SHARE * last.at * last.value / amps, &ABOVE_COLD),
    };
    Some(Sourced::new(Ohm::new(milliohm * 1e-3), source))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::Status;

    #[test]
    fn a_fuse_says_how_its_resistance_was_found() {
        let at = |amps| fuse_resistance(Ampere::new(amps)).unwrap();
        assert_eq!(at(10.0).source.status, Status::SecondHand);
        assert_eq!(at(7.5).source.status, Status::Computed);
        assert!(at(7.5).value > at(10.0).value && at(7.5).value < at(4.0).value);
        assert_eq!(at(30.0).source.status, Status::Computed);
        assert!(at(30.0).value < at(10.0).value && at(0.5).value > at(1.0).value);
        assert!(fuse_resistance(Ampere::new(0.0)).is_none());
    }
}
