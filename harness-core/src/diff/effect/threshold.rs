//! From which change on a figure is reported.

use super::Crossing;
use crate::quantity::{Ampere, Celsius, Ratio, Volt};

/// The least change that is reported: at least the share and at least the amount that goes with the figure. A figure that passes
/// its limit, either way, is always reported.
///
/// The share is that of the smaller of both figures, so that it does not matter which design is the older.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threshold {
    /// Share of the figure.
    pub share: Ratio,
    /// For currents.
    pub amps: Ampere,
    /// For temperatures, in kelvin. The share is one of the rise above the air, where that is known.
    pub kelvin: Celsius,
    /// For volts that are lost.
    pub volts: Volt,
    /// For margins: how much more of its limit a figure takes, or less. From a margin of 4 to one of 2 it is 25 %.
    pub used: Ratio,
}

impl Default for Threshold {
    /// 10 %, 0.1 A, 1 K, 0.05 V, 5 % of the limit. Own choice, no source.
    fn default() -> Self {
        Self {
            share: Ratio::new(0.1),
            amps: Ampere::new(0.1),
            kelvin: Celsius::new(1.0),
            volts: Volt::new(0.05),
            used: Ratio::new(0.05),
        }
    }
}

/// What rounding may add between two figures that are the same.
const ROUNDING: f64 = 1e-9;

impl Threshold {
    /// Whether two currents differ enough.
    #[must_use]
    pub fn tells_amps(&self, old: Ampere, new: Ampere) -> bool {
        self.tells(old.get(), new.get(), self.amps.get())
    }

    /// Whether two voltages differ enough.
    #[must_use]
    pub fn tells_volts(&self, old: Volt, new: Volt) -> bool {
        self.tells(old.get(), new.get(), self.volts.get())
    }

    /// Whether two temperatures differ enough, each given with the air around the conductor; `None` for a temperature that
    /// is not known or has no end.
    #[must_use]
    pub fn tells_heat(&self, old: (Option<Celsius>, Option<Celsius>), new: (Option<Celsius>, Option<Celsius>)) -> bool {
        let (Some(before), Some(after)) = (old.0, new.0) else { return old.0.is_some() != new.0.is_some() };
        let change = (before.get() - after.get()).abs();
        let rise = |at: Celsius, air: Option<Celsius>| air.map_or(0.0, |air| (at.get() - air.get()).max(0.0));
        let least = rise(before, old.1).min(rise(after, new.1)) * self.share.get();
        change > ROUNDING && change >= self.kelvin.get() && change >= least
    }

    /// Whether two margins differ enough; `None` where nothing limits the figure, or one of both is not known.
    #[must_use]
    pub fn tells_margin(&self, old: Option<f64>, new: Option<f64>) -> bool {
        if matches!(crossing(old, new), Crossing::Out | Crossing::Back) {
            return true;
        }
        let used = |margin: Option<f64>| margin.map_or(0.0, |margin| 1.0 / margin);
        let (before, after) = (used(old), used(new));
        // What takes all of its limit for ever takes no more of it.
        before != after && self.tells(before, after, self.used.get())
    }

    fn tells(&self, old: f64, new: f64, least: f64) -> bool {
        let change = (new - old).abs();
        change > ROUNDING && change >= least && change >= self.share.get() * old.abs().min(new.abs())
    }
}

/// On which side of its limit a figure was and is, by its margins; one that is not known, or that nothing limits, is not beyond.
pub(super) fn crossing(old: Option<f64>, new: Option<f64>) -> Crossing {
    let beyond = |margin: Option<f64>| margin.is_some_and(|margin| margin < 1.0);
    match (beyond(old), beyond(new)) {
        (false, true) => Crossing::Out,
        (true, true) => Crossing::Beyond,
        (true, false) => Crossing::Back,
        (false, false) => Crossing::Within,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heat(at: f64, air: f64) -> (Option<Celsius>, Option<Celsius>) {
        (Some(Celsius::new(at)), Some(Celsius::new(air)))
    }

    #[test]
    fn both_the_share_and_the_amount_must_be_reached() {
        let threshold = Threshold::default();
        let amps = |old, new| threshold.tells_amps(Ampere::new(old), Ampere::new(new));
        assert!(amps(10.0, 11.0) && amps(11.0, 10.0) && amps(0.0, 0.1));
        assert!(!amps(10.0, 10.9) && !amps(0.2, 0.29) && !amps(0.0, 0.09));
        let volts = |old, new| threshold.tells_volts(Volt::new(old), Volt::new(new));
        assert!(volts(0.1, 0.15 + 1e-9) && !volts(0.1, 0.149) && !volts(1.0, 1.09));
    }

    #[test]
    fn heat_is_measured_from_the_air() {
        let threshold = Threshold::default();
        assert!(threshold.tells_heat(heat(80.0, 60.0), heat(82.0, 60.0)));
        assert!(!threshold.tells_heat(heat(80.0, 60.0), heat(81.9, 60.0)));
        assert!(!threshold.tells_heat(heat(61.0, 60.0), heat(61.9, 60.0)));
        // The air itself became warmer.
        assert!(threshold.tells_heat(heat(80.0, 60.0), heat(85.0, 65.0)));
        assert!(threshold.tells_heat((None, None), heat(85.0, 65.0)));
        assert!(!threshold.tells_heat((None, None), (None, None)));
    }

    #[test]
    fn a_limit_that_is_passed_is_always_told() {
        let threshold = Threshold::default();
        assert!(threshold.tells_margin(Some(1.0), Some(0.999)) && threshold.tells_margin(Some(0.999), Some(1.0)));
        assert!(threshold.tells_margin(None, Some(0.0)) && threshold.tells_margin(Some(4.0), Some(2.0)));
        assert!(!threshold.tells_margin(Some(40.0), Some(20.0)) && !threshold.tells_margin(Some(0.0), Some(0.0)));
        assert!(!threshold.tells_margin(None, None) && !threshold.tells_margin(Some(1.0), Some(1.04)));
        assert_eq!(crossing(Some(0.5), Some(0.4)), Crossing::Beyond);
        assert_eq!(crossing(None, Some(1.0)), Crossing::Within);
    }
}
