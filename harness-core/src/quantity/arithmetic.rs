//! Arithmetic with units: Ohm's law, power, lengths of conductor, sums, shares and differences.
//!
//! Owns which quantities combine and into what; a sum of a voltage and a current does not compile, nor does the sum of two
//! temperatures. Every result is finite: beyond the range of the figures it stays at their end, so that a voltage over
//! no resistance is the largest current there is and never none. Nothing over nothing is nothing.

use super::{
    Ampere, AmpereHour, BitRate, Celsius, Farad, Kelvin, Metre, Millimetre, NewtonMetre, Ohm, OhmPerMetre, Ratio, Second,
    SquareMillimetre, Volt, Watt,
};
use std::{
    cmp::Ordering,
    iter::Sum,
    ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign},
};

/// Seconds in an hour: 1 Ah is 3,600 As (SI Brochure, 9th edition, table 8).
const HOUR: f64 = 3600.0;

/// A figure that is finite: the ends of the range are used for what is beyond them, zero for nothing over nothing.
fn finite(value: f64) -> f64 {
    if value.is_nan() { 0.0 } else { value.clamp(f64::MIN, f64::MAX) }
}

/// What every quantity can do, temperatures included: be compared and bounded.
macro_rules! compared {
    ($($unit:ident)+) => {$(
        impl $unit {
            /// The larger of both.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                if other.0 > self.0 { other } else { self }
            }

            /// The smaller of both.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                if other.0 < self.0 { other } else { self }
            }

            /// The order of the figures. Every quantity is finite, so any two of them have one.
            #[must_use]
            pub fn total_cmp(self, other: Self) -> Ordering {
                self.0.total_cmp(&other.0)
            }
        }
    )+};
}

/// What quantities with a natural zero can do: be added, be scaled, and be a share of one another.
macro_rules! added {
    ($($unit:ident)+) => {$(
        compared!($unit);

        impl $unit {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            /// Its size without its sign.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $unit {
            type Output = Self;

            fn add(self, other: Self) -> Self {
                Self(finite(self.0 + other.0))
            }
        }

        impl AddAssign for $unit {
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }

        impl Sub for $unit {
            type Output = Self;

            fn sub(self, other: Self) -> Self {
                Self(finite(self.0 - other.0))
            }
        }

        impl SubAssign for $unit {
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }

        impl Neg for $unit {
            type Output = Self;

            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Sum for $unit {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self::ZERO, Add::add)
            }
        }

        impl Mul<f64> for $unit {
            type Output = Self;

            fn mul(self, times: f64) -> Self {
                Self(finite(self.0 * times))
            }
        }

        impl Mul<$unit> for f64 {
            type Output = $unit;

            fn mul(self, quantity: $unit) -> $unit {
                quantity * self
            }
        }

        impl Div<f64> for $unit {
            type Output = Self;

            fn div(self, by: f64) -> Self {
                Self(finite(self.0 / by))
            }
        }
    )+};
}

/// Quantities that are a share of one another, and of which a share can be taken.
macro_rules! shared {
    ($($unit:ident)+) => {$(
        impl Div for $unit {
            type Output = Ratio;

            fn div(self, whole: Self) -> Ratio {
                Ratio(finite(self.0 / whole.0))
            }
        }

        impl Mul<Ratio> for $unit {
            type Output = Self;

            fn mul(self, share: Ratio) -> Self {
                self * share.0
            }
        }

        impl Mul<$unit> for Ratio {
            type Output = $unit;

            fn mul(self, whole: $unit) -> $unit {
                whole * self
            }
        }
    )+};
}

added!(Ampere AmpereHour BitRate Farad Kelvin Metre Millimetre NewtonMetre Ohm OhmPerMetre Ratio Second SquareMillimetre Volt Watt);
shared!(Ampere AmpereHour BitRate Farad Kelvin Metre Millimetre NewtonMetre Ohm OhmPerMetre Second SquareMillimetre Volt Watt);
compared!(Celsius);

/// `left * right = product`, both ways round and undone by division.
macro_rules! products {
    ($($left:ident * $right:ident = $product:ident $(/ $factor:expr)?;)+) => {$(
        impl Mul<$right> for $left {
            type Output = $product;

            fn mul(self, right: $right) -> $product {
                $product(finite(self.0 * right.0 $(/ $factor)?))
            }
        }

        impl Mul<$left> for $right {
            type Output = $product;

            fn mul(self, left: $left) -> $product {
                left * self
            }
        }

        impl Div<$left> for $product {
            type Output = $right;

            fn div(self, left: $left) -> $right {
                $right(finite(self.0 / left.0 $(* $factor)?))
            }
        }

        impl Div<$right> for $product {
            type Output = $left;

            fn div(self, right: $right) -> $left {
                $left(finite(self.0 / right.0 $(* $factor)?))
            }
        }
    )+};
}

products! {
    Ampere * Ohm = Volt;
    Volt * Ampere = Watt;
    OhmPerMetre * Metre = Ohm;
    Ampere * Second = AmpereHour / HOUR;
}

impl Sub for Celsius {
    type Output = Kelvin;

    fn sub(self, other: Self) -> Kelvin {
        Kelvin(finite(self.0 - other.0))
    }
}

impl Add<Kelvin> for Celsius {
    type Output = Self;

    fn add(self, rise: Kelvin) -> Self {
        Self(finite(self.0 + rise.0))
    }
}

impl Sub<Kelvin> for Celsius {
    type Output = Self;

    fn sub(self, fall: Kelvin) -> Self {
        self + -fall
    }
}

impl From<Millimetre> for Metre {
    fn from(small: Millimetre) -> Self {
        Self(small.0 / 1000.0)
    }
}

impl From<Metre> for Millimetre {
    fn from(length: Metre) -> Self {
        Self(finite(length.0 * 1000.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn near(value: f64, expect: f64) {
        assert!((value - expect).abs() <= expect.abs() * 1e-12, "{value} is not {expect}");
    }

    #[test]
    fn derived_units_are_coherent() {
        // BIPM, The International System of Units, 9th edition, table 4: V = W/A, ohm = V/A; W = V A and A = V/ohm follow.
        let (one_watt, one_ampere) = (Watt::new(1.0), Ampere::new(1.0));
        assert_eq!(one_watt / one_ampere, Volt::new(1.0));
        assert_eq!(Volt::new(1.0) / one_ampere, Ohm::new(1.0));
        assert_eq!(Volt::new(1.0) / Ohm::new(1.0), one_ampere);
        assert_eq!(one_ampere * Volt::new(1.0), one_watt);
        // Table 8: 1 h = 3600 s, so a current of 1 A for 3600 s is 1 Ah.
        assert_eq!(one_ampere * Second::new(3600.0), AmpereHour::new(1.0));
        assert_eq!(AmpereHour::new(1.0) / one_ampere, Second::new(3600.0));
        // Section 2.3.1: a difference of 1 degC is one of 1 K.
        assert_eq!(Celsius::new(21.0) - Celsius::new(20.0), Kelvin::new(1.0));
    }

    #[test]
    fn a_metre_of_wire_drops_what_its_resistance_says() {
        // ISO 6722-1 table 4 gives 37.1 mohm/m at 20 degC for 0.5 mm2: 4 m of it at 5 A, by hand.
        let resistance = OhmPerMetre::new(37.1e-3) * Metre::new(4.0);
        near(resistance.get(), 0.1484);
        let drop = Ampere::new(5.0) * resistance;
        near(drop.get(), 0.742);
        near((drop * Ampere::new(5.0)).get(), 3.71);
        near((drop / Volt::new(12.0)).get(), 0.742 / 12.0);
        near((resistance / Metre::new(4.0)).get(), 37.1e-3);
    }

    #[test]
    fn no_resistance_is_never_no_current() {
        assert_eq!(Volt::new(12.0) / Ohm::ZERO, Ampere::new(f64::MAX));
        assert_eq!(Volt::new(-12.0) / Ohm::ZERO, Ampere::new(f64::MIN));
        assert_eq!(Volt::ZERO / Ohm::ZERO, Ampere::ZERO);
        assert_eq!(Ampere::new(f64::MAX) * Ohm::new(2.0), Volt::new(f64::MAX));
        assert_eq!(Ampere::new(f64::MAX) + Ampere::new(f64::MAX), Ampere::new(f64::MAX));
    }

    #[test]
    fn sums_shares_and_bounds() {
        let currents = [1.5, -2.0, 4.0].map(Ampere::new);
        assert_eq!(currents.iter().copied().sum::<Ampere>(), Ampere::new(3.5));
        assert_eq!(currents.into_iter().map(Ampere::abs).sum::<Ampere>(), Ampere::new(7.5));
        assert_eq!(currents.into_iter().fold(Ampere::ZERO, Ampere::max), Ampere::new(4.0));
        assert_eq!(currents.into_iter().fold(Ampere::ZERO, Ampere::min), Ampere::new(-2.0));
        assert_eq!(Volt::new(3.0) / Volt::new(12.0), Ratio::new(0.25));
        assert_eq!(Volt::new(12.0) * Ratio::new(0.25), Volt::new(3.0));
        assert_eq!(Metre::from(Millimetre::new(1450.0)), Metre::new(1.45));
    }

    proptest! {
        #[test]
        fn division_undoes_multiplication(amps in 1e-6_f64..1e5, ohms in 1e-6_f64..1e6) {
            let (current, resistance) = (Ampere::new(amps), Ohm::new(ohms));
            near((current * resistance / resistance).get(), amps);
            near((resistance * current / current).get(), ohms);
        }

        #[test]
        fn results_are_finite(left in any::<f64>(), right in any::<f64>()) {
            let (volts, ohms, amps) = (Volt::new(left), Ohm::new(right), Ampere::new(right));
            for figure in [(volts / ohms).get(), (amps * ohms).get(), (volts * amps).get(), (volts + volts).get(), (volts / volts).get()] {
                prop_assert!(figure.is_finite());
            }
        }
    }
}
