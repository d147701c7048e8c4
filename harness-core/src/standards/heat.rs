//! The heat balance of a conductor: what one printed current says about other currents, ambients and temperatures.
//!
//! A conductor settles where the heat of its current, I²R, equals the heat that it gives off, which goes with its rise over the air.
//! Copper gains resistance as it warms, so the balance is a linear equation in its temperature and has a limit: above a
//! certain current no temperature balances it.

use super::{
    conductor::COPPER_INVERSE,
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Celsius, Kelvin, Second};

pub(super) static HEAT_BALANCE: Source = Source::computed(
    "heat balance of IEC 60364-5-52 B.52.14",
    "square root of the ratio of temperature rises, with the copper's resistance at its own temperature",
);

static UNKNOWN_AIR: Source =
    Source::practice("air under a bonnet; at least 20 K below the rating of the wire that was chosen for it");

static CRANKING: Source = Source::practice("an engine is cranked for 10 s at a time, then the starter is given a rest");

/// How long an engine is cranked at a time.
#[must_use]
pub fn cranking() -> Sourced<Second> {
    Sourced::new(Second::new(10.0), &CRANKING)
}

/// Air that is taken where a design gives none, for what an assumption about it decides: 85 degC, or 20 K below the rating of the
/// conductor where that is less.
#[must_use]
pub fn unknown_air(rated: Celsius) -> Sourced<Celsius> {
    Sourced::new(Celsius::new((rated.get() - 20.0).min(85.0)), &UNKNOWN_AIR)
}

/// A conductor's highest continuous temperature in an ambient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thermal {
    /// Highest continuous conductor temperature.
    pub conductor: Celsius,
    /// Temperature of the surrounding air.
    pub ambient: Celsius,
}

impl Thermal {
    /// Rise over the air by resistance at its end, in kelvin for each kelvin above the copper's zero; nothing for no rise.
    fn share(self) -> Option<f64> {
        let rise = self.conductor.get() - self.ambient.get();
        let copper = COPPER_INVERSE + self.conductor.get();
        (rise > 0.0 && copper > 0.0).then(|| rise / copper)
    }
}

/// Factor from a current stated for `tabled` temperatures to the current at `wanted` temperatures.
///
/// I²R heat equals heat given off, so the current goes with the square root of the permitted rise over the copper's
/// resistance. At the tabled conductor temperature this is the ambient formula of the wiring regulations; at a higher one it
/// gives less than that formula, because hotter copper has more resistance.
///
/// Against 33 CFR 183.425 table 5, AWG 8 and larger, it leads from the 75 degC column to those of 105 and 125 degC within
/// 4 %, where the ambient formula is up to 10 % high. From there to 200 degC it is 7 to 18 % high: wire of such a class needs
/// its own table. Zero if `wanted` permits no rise, or if
/// `tabled` has none to start from.
#[must_use]
pub fn thermal_factor(tabled: Thermal, wanted: Thermal) -> f64 {
    match (tabled.share(), wanted.share()) {
        (Some(tabled), Some(wanted)) => (wanted / tabled).sqrt(),
        _ => 0.0,
    }
}

/// A conductor in its air, known by one current that is stated for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The stated current of a conductor alone.
    pub amps: Ampere,
    /// The temperatures it is stated for.
    pub tabled: Thermal,
    /// The air in which the conductor is.
    pub ambient: Celsius,
}

impl Balance {
    /// Steady temperature with `amps` in it, where the conductors beside it warm it by `rise`.
    ///
    /// `None` where there is none: the hotter copper makes more heat than it gives off, however hot it gets.
    #[must_use]
    pub fn steady(&self, amps: Ampere, rise: Kelvin) -> Option<Celsius> {
        if amps.get() == 0.0 {
            return Some(self.ambient + rise);
        }
        if self.amps.get() <= 0.0 {
            return None;
        }
        let gain = (amps.get() / self.amps.get()).powi(2) * self.tabled.share()?;
        let still = self.ambient.get() + rise.get();
        (gain < 1.0).then(|| Celsius::new((still + COPPER_INVERSE * gain) / (1.0 - gain)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn balance(ambient: f64) -> Balance {
        let tabled = Thermal { conductor: Celsius::new(70.0), ambient: Celsius::new(30.0) };
        Balance { amps: Ampere::new(24.0), tabled, ambient: Celsius::new(ambient) }
    }

    #[test]
    fn the_stated_current_gives_the_stated_temperature() {
        let steady =
            |ambient, amps| balance(ambient).steady(Ampere::new(amps), Kelvin::ZERO).map(|at| (at.get() * 1e6).round() / 1e6);
        assert_eq!(steady(30.0, 24.0), Some(70.0));
        assert_eq!(steady(30.0, -24.0), Some(70.0));
        assert_eq!(steady(55.0, 0.0), Some(55.0));
    }

    #[test]
    fn a_capacity_and_a_temperature_are_two_readings_of_one_balance() {
        for (ambient, rated, rise) in [(30.0, 105.0, 0.0), (85.0, 105.0, 10.2), (-20.0, 90.0, 80.0), (104.0, 105.0, 0.5)] {
            let balance = balance(ambient);
            let wanted = Thermal { conductor: Celsius::new(rated), ambient: Celsius::new(ambient) };
            let left: f64 = 1.0 - rise / (rated - ambient);
            let amps = balance.amps.get() * thermal_factor(balance.tabled, wanted) * left.sqrt();
            let found = balance.steady(Ampere::new(amps), Kelvin::new(rise)).unwrap().get();
            assert!((found - rated).abs() < 1e-9, "{found} for {rated}");
        }
    }

    #[test]
    fn above_a_current_there_is_no_balance() {
        // 40 K over 304.5 K: the current at which the resistance outruns the cooling is sqrt(304.5/40) of the stated one.
        let most = 24.0 * (304.5_f64 / 40.0).sqrt();
        assert!(balance(30.0).steady(Ampere::new(most * 0.999), Kelvin::ZERO).is_some_and(|at| at.get() > 10_000.0));
        assert_eq!(balance(30.0).steady(Ampere::new(most * 1.001), Kelvin::ZERO), None);
    }
}
