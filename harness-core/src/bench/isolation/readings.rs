//! What a voltmeter showed, with what it was made, and why that may give no isolation resistance.

use crate::{
    quantity::{Ohm, Ratio, Volt},
    standards::isolation::{known_error, meter_input},
};
use std::fmt;

/// A pole of a battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pole {
    /// The negative one.
    Negative,
    /// The positive one.
    Positive,
}

impl Pole {
    /// The other one.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Negative => Self::Positive,
            Self::Positive => Self::Negative,
        }
    }
}

impl fmt::Display for Pole {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Negative => "negative",
            Self::Positive => "positive",
        })
    }
}

/// What a voltmeter showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The voltage.
    pub volts: Volt,
    /// One step of its last digit.
    pub digit: Volt,
}

/// The readings, and what they were made with.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreeReadings {
    /// Between the poles: Vb.
    pub battery: Shown,
    /// Between the negative pole and the chassis: V1.
    pub negative: Shown,
    /// Between the positive pole and the chassis: V2.
    pub positive: Shown,
    /// The pole at which the known resistor was, and what was read there then: V1' or V2'.
    pub with: (Pole, Shown),
    /// The known resistor: R0.
    pub known: Ohm,
    /// Its error.
    pub known_error: Ratio,
    /// Error of the voltmeter, of a reading.
    pub meter_error: Ratio,
    /// Error of the voltmeter in steps of the last digit.
    pub digits: f64,
    /// Input resistance of the voltmeter.
    pub meter_input: Ohm,
}

impl ThreeReadings {
    /// Errors and input of a meter and a resistor of which nothing is said: 1 % and 2 digits (common practice, no source), 10 Mohm, 5 %.
    #[must_use]
    pub fn of_usual_tools(battery: Shown, negative: Shown, positive: Shown, with: (Pole, Shown), known: Ohm) -> Self {
        Self {
            battery,
            negative,
            positive,
            with,
            known,
            known_error: known_error().value,
            meter_error: Ratio::new(0.01),
            digits: 2.0,
            meter_input: meter_input().value,
        }
    }

    pub(super) fn error(&self, shown: Shown) -> f64 {
        shown.volts.get() * self.meter_error.get() + shown.digit.get() * self.digits
    }

    pub(super) fn at(&self, pole: Pole) -> Shown {
        match pole {
            Pole::Negative => self.negative,
            Pole::Positive => self.positive,
        }
    }
}

/// Why readings give no isolation resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Misfit {
    /// A figure that must be above zero is not.
    NotPositive(&'static str),
    /// The poles together read more against the chassis than the battery has.
    MoreThanTheBattery {
        /// The two readings together.
        sum: Volt,
        /// The battery.
        battery: Volt,
    },
    /// Neither pole reads anything against the chassis beyond the errors of the meter: there is less leakage than it can see.
    NothingLeaks {
        /// What all leaks together have at least, by the input of the meter.
        least: Ohm,
    },
    /// The resistor was at the pole that reads less.
    AtTheOtherPole {
        /// The pole that reads more.
        higher: Pole,
    },
    /// The reading did not fall when the resistor came.
    DidNotFall {
        /// Where it was.
        pole: Pole,
        /// Before.
        without: Volt,
        /// With the resistor.
        with: Volt,
    },
}

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive(what) => write!(f, "{what} must be above zero"),
            Self::MoreThanTheBattery { sum, battery } => write!(
                f,
                "V1 and V2 together are {sum}, more than the {battery} of the battery: a reading is of another state, or the battery is \
                 joined to something else; read all of them again"
            ),
            Self::NothingLeaks { least } => write!(
                f,
                "neither pole reads anything against the chassis that the meter could see: all leaks together have {least} or more by its own \
                 input; an insulation tester gives the figure"
            ),
            Self::AtTheOtherPole { higher } => write!(
                f,
                "the {higher} pole reads more against the chassis, so R0 belongs between it and the chassis: read there again ({})",
                match higher {
                    Pole::Negative => "V1'",
                    Pole::Positive => "V2'",
                }
            ),
            Self::DidNotFall { pole, without, with } => write!(
                f,
                "the {pole} pole read {without} without R0 and {with} with it: a resistor to the chassis can only lower it; see that R0 is \
                 at the pole and at bare chassis, and read both again"
            ),
        }
    }
}
