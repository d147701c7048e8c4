//! How many volts a circuit may lose, by what it feeds.

use crate::standards::source::Source;

/// What a limit is measured against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// Per cent of the nominal voltage, feed and return together.
    PerCent(f64),
    /// Volts of the feed alone.
    FeedVolts(f64),
}

/// One printed limit.
#[derive(Debug)]
pub struct Limit {
    /// The limit.
    pub most: Measure,
    /// Where it was read.
    pub source: &'static Source,
}

static CRITICAL: Source = Source::second_hand(
    "ABYC E-11, electronic equipment and circuits where the drop must be low",
    "page of a marine wiring guide",
);
static FEEDER: Source = Source::second_hand("ABYC E-11, main feeders", "page of a marine wiring guide");
static OTHER: Source =
    Source::second_hand("ABYC E-11, lighting and other non-critical circuits", "page of a marine wiring guide");
static BUILDING: Source = Source::second_hand("VDE 0100-520", "page on cable loading of 12 V systems");
static CHARGE: Source = Source::seen("road vehicle, generator B+ to battery, plus line alone", "table of an automotive handbook");
static GROUND: Source =
    Source::second_hand("limit for computer connections attributed to SAE, 0.01 to 0.09 V", "page of a battery supplier");

/// Electronics and sensors.
pub static ELECTRONICS: Limit = Limit { most: Measure::PerCent(3.0), source: &CRITICAL };
/// Lamps, motors, heaters, coils, and loads of no known kind.
pub static GENERAL: Limit = Limit { most: Measure::PerCent(10.0), source: &OTHER };
/// Alternating current, whatever it feeds.
pub static MAINS: Limit = Limit { most: Measure::PerCent(3.0), source: &BUILDING };
/// Charging line of a battery of 12 V.
pub static CHARGE_12: Limit = Limit { most: Measure::FeedVolts(0.4), source: &CHARGE };
/// Charging line of a battery of 24 V.
pub static CHARGE_24: Limit = Limit { most: Measure::FeedVolts(0.8), source: &CHARGE };
/// Charging line of any other battery: a main feeder.
pub static CHARGE_ELSE: Limit = Limit { most: Measure::PerCent(3.0), source: &FEEDER };
/// Volts between the ground of a sensor or bus node and that of the device that reads it: the upper end of the range.
pub const GROUND_LIFT: f64 = 0.09;
/// Where [`GROUND_LIFT`] was read.
pub static GROUND_LIFT_SOURCE: &Source = &GROUND;
