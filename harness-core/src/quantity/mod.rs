//! Typed quantities: every figure of the trade carries its unit in its type.
//!
//! Owns the unit newtypes, their printing, their reading and what is said of a text that is not a quantity. Knows nothing of harnesses.

mod arithmetic;
mod error;
mod gauge;
mod parse;
mod range;

#[cfg(test)]
mod tests;

pub use error::QuantityError;
pub use parse::{Quantity, is_of, parse, parse_range};
pub use range::{Between, Outside};

use std::fmt;

/// A unit that a quantity of the format may carry.
pub trait Unit: Copy + PartialOrd + fmt::Display + 'static {
    /// What the quantity measures, for messages: `current`.
    const MEASURES: &'static str;
    /// Unit spellings that are accepted, with the factor to the stored unit; the first is the stored unit's own.
    ///
    /// Micro is U+00B5 and ohm U+03A9 here; reading takes the look-alikes U+03BC and U+2126 for them.
    const SPELLINGS: &'static [(&'static str, f64)];
    /// A quantity as it is usually written, for messages: `4.2 A`.
    const EXAMPLE: &'static str;
    /// Whether the quantity may be given as an American wire gauge.
    const GAUGES: bool = false;
    /// Smallest sensible value, in the stored unit.
    const LEAST: f64;
    /// Largest sensible value, in the stored unit.
    const MOST: f64;

    /// Wraps a value in the stored unit; `None` if it is not finite.
    fn from_stored(value: f64) -> Option<Self>;
    /// The value in the stored unit.
    fn get(self) -> f64;
}

macro_rules! unit {
    ($(#[$doc:meta])* $name:ident, $measures:literal, $example:literal, $least:expr, $most:expr,
     [$($spelling:literal => $factor:expr),+ $(,)?] $(, gauges: $gauges:literal)?) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Wraps a value in the stored unit; values that are not finite become zero.
            ///
            /// For figures that come from a file use [`Unit::from_stored`], which refuses them.
            #[must_use]
            pub fn new(value: f64) -> Self {
                Self(if value.is_finite() { value } else { 0.0 })
            }

            /// The value in the stored unit.
            #[must_use]
            pub fn get(self) -> f64 {
                self.0
            }
        }

        impl Unit for $name {
            const MEASURES: &'static str = $measures;
            const SPELLINGS: &'static [(&'static str, f64)] = &[$(($spelling, $factor)),+];
            const EXAMPLE: &'static str = $example;
            $(const GAUGES: bool = $gauges;)?
            const LEAST: f64 = $least;
            const MOST: f64 = $most;

            fn from_stored(value: f64) -> Option<Self> {
                value.is_finite().then_some(Self(value))
            }

            fn get(self) -> f64 {
                self.0
            }
        }
    };
}

unit!(
    /// Electric current, in ampere.
    Ampere, "current", "4.2 A", 0.0, 200_000.0,
    ["A" => 1.0, "mA" => 1e-3, "uA" => 1e-6, "µA" => 1e-6, "kA" => 1e3]
);
unit!(
    /// Heat integral `I2 t` of a fuse, in ampere squared second.
    AmpereSquaredSecond, "heat integral", "120 A2s", 0.0, 1e10,
    ["A2s" => 1.0, "A²s" => 1.0, "kA2s" => 1e3, "kA²s" => 1e3]
);
unit!(
    /// Electric charge of a battery, in ampere hour.
    AmpereHour, "charge", "60 Ah", 0.0, 1e6,
    ["Ah" => 1.0, "mAh" => 1e-3]
);
unit!(
    /// Voltage, in volt. The most is that to which the isolation inside a box may be tested.
    Volt, "voltage", "12 V", 0.0, 10_000.0,
    ["V" => 1.0, "mV" => 1e-3, "kV" => 1e3]
);
unit!(
    /// Resistance, in ohm.
    Ohm, "resistance", "8 mohm", 0.0, 1e9,
    ["ohm" => 1.0, "Ohm" => 1.0, "Ω" => 1.0, "mohm" => 1e-3, "mOhm" => 1e-3, "mΩ" => 1e-3,
     "uohm" => 1e-6, "uΩ" => 1e-6, "µohm" => 1e-6, "µOhm" => 1e-6, "µΩ" => 1e-6,
     "kohm" => 1e3, "kOhm" => 1e3, "kΩ" => 1e3, "Mohm" => 1e6, "MOhm" => 1e6, "MΩ" => 1e6]
);
unit!(
    /// Power, in watt.
    Watt, "power", "55 W", 0.0, 1e6,
    ["W" => 1.0, "kW" => 1e3, "mW" => 1e-3]
);
unit!(
    /// Energy, in joule.
    Joule, "energy", "40 J", 0.0, 1e7,
    ["J" => 1.0, "mJ" => 1e-3, "kJ" => 1e3, "Ws" => 1.0]
);
unit!(
    /// Cross-section of a conductor, in square millimetres. AWG sizes are converted by the ASTM B258 formula.
    SquareMillimetre, "cross-section", "0.5 mm2", 0.01, 400.0,
    ["mm2" => 1.0, "mm²" => 1.0, "sqmm" => 1.0],
    gauges: true
);
unit!(
    /// Length of a run, in metre; printed in mm below 10 m, as cut lists are.
    Metre, "length", "1450 mm", 0.0, 1_000.0,
    ["m" => 1.0, "mm" => 1e-3, "cm" => 1e-2]
);
unit!(
    /// A small dimension such as an insulation diameter, in millimetre.
    Millimetre, "dimension", "1.6 mm", 0.0, 1_000.0,
    ["mm" => 1.0, "cm" => 10.0, "m" => 1e3]
);
unit!(
    /// Temperature, in degrees Celsius.
    Celsius, "temperature", "85 degC", -80.0, 1_200.0,
    ["degC" => 1.0, "°C" => 1.0, "C" => 1.0]
);
unit!(
    /// Difference of two temperatures, in kelvin. No key of the format asks for one.
    Kelvin, "temperature difference", "25 K", 0.0, 1_200.0,
    ["K" => 1.0]
);
unit!(
    /// Time, in second.
    Second, "time", "5 ms", 0.0, 1e8,
    ["s" => 1.0, "ms" => 1e-3, "us" => 1e-6, "µs" => 1e-6, "min" => 60.0, "h" => 3600.0]
);
unit!(
    /// Capacitance, in farad.
    Farad, "capacitance", "470 uF", 0.0, 10.0,
    ["F" => 1.0, "mF" => 1e-3, "uF" => 1e-6, "µF" => 1e-6, "nF" => 1e-9, "pF" => 1e-12]
);
unit!(
    /// A share of a whole; 1 is the whole. Printed in per cent.
    Ratio, "share", "3 %", 0.0, 100.0,
    ["%" => 0.01]
);
unit!(
    /// Tightening torque, in newton metre.
    NewtonMetre, "torque", "9 Nm", 0.0, 500.0,
    ["Nm" => 1.0, "N·m" => 1.0]
);
unit!(
    /// Bit rate of a data bus, in bit per second.
    BitRate, "bit rate", "500 kbit/s", 1.0, 1e9,
    ["bit/s" => 1.0, "kbit/s" => 1e3, "Mbit/s" => 1e6]
);
unit!(
    /// Resistance per length of a conductor, in ohm per metre.
    OhmPerMetre, "resistance per length", "37.1 mohm/m", 0.0, 100.0,
    ["ohm/m" => 1.0, "Ω/m" => 1.0, "mohm/m" => 1e-3, "mΩ/m" => 1e-3, "ohm/km" => 1e-3, "Ω/km" => 1e-3]
);

/// What a quantity measures, and its spellings.
type Known = (&'static str, &'static [(&'static str, f64)]);

/// All quantities, for a unit that is in the place of another.
fn known_units() -> [Known; 17] {
    fn of<U: Unit>() -> Known {
        (U::MEASURES, U::SPELLINGS)
    }
    [
        of::<Ampere>(),
        of::<AmpereHour>(),
        of::<Volt>(),
        of::<Ohm>(),
        of::<Watt>(),
        of::<Joule>(),
        of::<SquareMillimetre>(),
        of::<Metre>(),
        of::<Millimetre>(),
        of::<Celsius>(),
        of::<Second>(),
        of::<Farad>(),
        of::<Ratio>(),
        of::<NewtonMetre>(),
        of::<AmpereSquaredSecond>(),
        of::<BitRate>(),
        of::<OhmPerMetre>(),
    ]
}

/// Prints `value` with at most `digits` significant digits and no trailing zeros.
fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    let magnitude = value.abs().log10().floor() as i32;
    let places = (digits - 1 - magnitude).clamp(0, 12);
    let text = format!("{value:.*}", places as usize);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

macro_rules! scaled_display {
    ($name:ident, $digits:literal, [$(($above:expr, $factor:expr, $unit:literal)),+ $(,)?]) => {
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let steps: &[(f64, f64, &str)] = &[$(($above, $factor, $unit)),+];
                let magnitude = self.0.abs();
                let step = steps
                    .iter()
                    .find(|(above, _, _)| magnitude >= *above)
                    .or(steps.last())
                    .copied()
                    .unwrap_or((0.0, 1.0, ""));
                let step = if magnitude == 0.0 { steps.iter().find(|s| s.1 == 1.0).copied().unwrap_or(step) } else { step };
                write!(f, "{} {}", significant(self.0 / step.1, $digits), step.2)
            }
        }
    };
}

scaled_display!(Ampere, 3, [(10_000.0, 1e3, "kA"), (0.1, 1.0, "A"), (1e-4, 1e-3, "mA"), (0.0, 1e-6, "uA")]);
scaled_display!(AmpereSquaredSecond, 3, [(10_000.0, 1e3, "kA2s"), (0.0, 1.0, "A2s")]);
scaled_display!(AmpereHour, 3, [(0.1, 1.0, "Ah"), (0.0, 1e-3, "mAh")]);
scaled_display!(Volt, 4, [(0.1, 1.0, "V"), (0.0, 1e-3, "mV")]);
scaled_display!(Ohm, 4, [(1e6, 1e6, "Mohm"), (1e3, 1e3, "kohm"), (0.1, 1.0, "ohm"), (0.0, 1e-3, "mohm")]);
scaled_display!(Watt, 4, [(10_000.0, 1e3, "kW"), (0.0, 1.0, "W")]);
scaled_display!(Joule, 4, [(10_000.0, 1e3, "kJ"), (0.1, 1.0, "J"), (0.0, 1e-3, "mJ")]);
scaled_display!(Metre, 4, [(10.0, 1.0, "m"), (0.0, 1e-3, "mm")]);
scaled_display!(Millimetre, 3, [(0.0, 1.0, "mm")]);
scaled_display!(Celsius, 4, [(0.0, 1.0, "degC")]);
scaled_display!(Kelvin, 4, [(0.0, 1.0, "K")]);
scaled_display!(Second, 3, [(3600.0, 3600.0, "h"), (1.0, 1.0, "s"), (1e-3, 1e-3, "ms"), (0.0, 1e-6, "us")]);
scaled_display!(Farad, 3, [(1.0, 1.0, "F"), (1e-6, 1e-6, "uF"), (0.0, 1e-9, "nF")]);
scaled_display!(Ratio, 3, [(0.0, 0.01, "%")]);
scaled_display!(NewtonMetre, 3, [(0.0, 1.0, "Nm")]);
scaled_display!(BitRate, 4, [(1e6, 1e6, "Mbit/s"), (1e3, 1e3, "kbit/s"), (0.0, 1.0, "bit/s")]);
scaled_display!(OhmPerMetre, 4, [(0.1, 1.0, "ohm/m"), (0.0, 1e-3, "mohm/m")]);
