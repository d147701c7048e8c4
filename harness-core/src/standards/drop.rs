//! Limits for the volts lost between a source and what it feeds.

use super::{data::drop as table, source::Sourced};
use crate::quantity::{Ratio, Volt};
use std::fmt;

/// What a circuit feeds, as far as its limit depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Served {
    /// Electronics or a sensor.
    Electronics,
    /// A lamp, motor, heater or coil, or a load of no known kind.
    General,
    /// A battery that is charged.
    Battery,
}

/// The most that may be lost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// A share of the nominal voltage, over feed and return together.
    Share(Ratio),
    /// Volts of the feed alone.
    Feed(Volt),
}

impl Limit {
    /// The limit in volts at this nominal voltage.
    #[must_use]
    pub fn volts(self, nominal: Volt) -> Volt {
        match self {
            Self::Share(share) => Volt::new(share.get() * nominal.get()),
            Self::Feed(volts) => volts,
        }
    }

    /// What of a drop counts against the limit.
    #[must_use]
    pub fn counts(self, feed: Volt, back: Volt) -> Volt {
        match self {
            Self::Share(_) => Volt::new(feed.get() + back.get()),
            Self::Feed(_) => feed,
        }
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Share(share) => write!(f, "{share} over feed and return"),
            Self::Feed(volts) => write!(f, "{volts} over the feed"),
        }
    }
}

/// The limit for a circuit of this nominal voltage.
///
/// The limits of road vehicles for single lines hold for 12 and 24 V; batteries of any other voltage take that of a main feeder.
#[must_use]
pub fn limit(served: Served, nominal: Volt, alternating: bool) -> Sourced<Limit> {
    let volts = nominal.get();
    let row = match served {
        _ if alternating => &table::MAINS,
        Served::Electronics => &table::ELECTRONICS,
        Served::General => &table::GENERAL,
        Served::Battery if (10.0..16.0).contains(&volts) => &table::CHARGE_12,
        Served::Battery if (20.0..32.0).contains(&volts) => &table::CHARGE_24,
        Served::Battery => &table::CHARGE_ELSE,
    };
    let most = match row.most {
        table::Measure::PerCent(share) => Limit::Share(Ratio::new(share / 100.0)),
        table::Measure::FeedVolts(volts) => Limit::Feed(Volt::new(volts)),
    };
    Sourced::new(most, row.source)
}

/// What two devices understand each other by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SignalKind {
    /// The voltage of a sensor.
    Sensor,
    /// A CAN bus.
    Can,
    /// A LIN bus.
    Lin,
}

/// Most volts between the ground of a sensor or bus node and the ground of the device that reads it, at this nominal voltage.
#[must_use]
pub fn ground_lift(kind: SignalKind, nominal: Volt) -> Sourced<Volt> {
    let (row, unit) = match kind {
        SignalKind::Sensor => (&table::GROUND_SENSOR, 1.0),
        SignalKind::Can => (&table::GROUND_CAN, 1.0),
        SignalKind::Lin => (&table::GROUND_LIN, nominal.get() / 100.0),
    };
    Sourced::new(Volt::new(row.value * unit), row.source)
}
