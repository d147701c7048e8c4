//! How hot a conductor gets under a fault current, and how long its insulation withstands that.
//!
//! Two laws meet here. Up to a few seconds all heat stays in the metal: the adiabatic formula of IEC 60949. Over minutes
//! the surroundings take heat away, at the rate that the continuous capacity implies: at that current, at its rated
//! temperature, a conductor gives off what it takes up. Both together are one linear equation in the temperature,
//! `dT/dt = a (T + beta) - g (T - ambient)`, which has a closed form; for large currents it is the adiabatic formula, and at
//! the capacity it stays at the rated temperature. It errs on the safe side: heat stored in the insulation is left out, and
//! real cooling grows faster than in proportion to the rise.

use super::{
    data::{capacity, short_circuit as table, short_circuit::MetalRow},
    insulation::Covering,
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Celsius, Millimetre, Second, SquareMillimetre};

/// Metal of a conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Metal {
    /// Copper, plain or coated.
    #[default]
    Copper,
    /// Aluminium.
    Aluminium,
}

impl Metal {
    fn row(self) -> &'static MetalRow {
        match self {
            Self::Copper => &table::COPPER,
            Self::Aluminium => &table::ALUMINIUM,
        }
    }
}

/// The constant of the adiabatic formula, `k = K sqrt(ln((Tf + beta) / (Ti + beta)))`, in A·sqrt(s)/mm2; zero where `end`
/// is not above `start`.
#[must_use]
pub fn k(metal: Metal, start: Celsius, end: Celsius) -> Sourced<f64> {
    let row = metal.row();
    let (start, end) = (start.get() + row.beta, end.get() + row.beta);
    let k = if start > 0.0 && end > start { row.factor * (end / start).ln().sqrt() } else { 0.0 };
    Sourced::new(k, row.source)
}

/// The smallest cross-section that carries `amps` for `time`, `S = I sqrt(t) / k`; `None` if `k` is not above zero.
#[must_use]
pub fn least_area(k: f64, amps: Ampere, time: Second) -> Option<SquareMillimetre> {
    (k > 0.0).then(|| SquareMillimetre::new(amps.get().abs() * time.get().max(0.0).sqrt() / k))
}

/// The smallest trade size that carries `amps` for `time` with all heat in the metal; `None` if none does.
#[must_use]
pub fn least_trade_size(k: f64, amps: Ampere, time: Second) -> Option<SquareMillimetre> {
    let least = least_area(k, amps, time)?;
    capacity::TRADE_SIZES.iter().map(|size| SquareMillimetre::new(*size)).find(|size| *size >= least)
}

/// The time that a conductor of `size` carries `amps` until it has taken up the heat that `k` allows, `t = k2 S2 / I2`; `None`
/// without a current.
#[must_use]
pub fn adiabatic_time(k: f64, size: SquareMillimetre, amps: Ampere) -> Option<Second> {
    let ratio = k * size.get() / amps.get();
    ratio.is_finite().then(|| Second::new(ratio * ratio))
}

/// A copper conductor where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductor {
    /// Cross-section.
    pub size: SquareMillimetre,
    /// Continuous current at which it reaches `rated`; `None` leaves all heat in the metal, which errs on the safe side.
    pub capacity: Option<Ampere>,
    /// The temperature to which the capacity heats it.
    pub rated: Celsius,
    /// Temperature of the air around it.
    pub ambient: Celsius,
}

/// The heat balance of one current: the rate at which the temperature begins to rise, in K/s, and how that rate grows with
/// the temperature, in 1/s.
#[derive(Debug, Clone, Copy)]
struct Balance {
    rise: f64,
    growth: f64,
}

/// Share of the heating below which a rise is rounding.
const ROUNDING: f64 = 1e-9;
/// Exponent beyond which anything has melted.
const BEYOND: f64 = 50.0;

impl Conductor {
    fn balance(&self, start: Celsius, amps: Ampere) -> Balance {
        let row = Metal::Copper.row();
        let density = |amps: Ampere| {
            let share = amps.get() / (row.factor * self.size.get().max(f64::MIN_POSITIVE));
            (share * share).min(f64::MAX)
        };
        let above = self.rated.get() - self.ambient.get();
        let cooling = match self.capacity {
            Some(capacity) if above > 0.0 => density(capacity) * (self.rated.get() + row.beta).max(0.0) / above,
            _ => 0.0,
        };
        let heating = density(amps);
        let heat = heating * (start.get() + row.beta).max(0.0);
        let rise = heat - cooling * (start.get() - self.ambient.get());
        Balance { rise: if rise.abs() <= ROUNDING * heat { 0.0 } else { rise }, growth: heating - cooling }
    }

    /// The temperature after `time` under `amps`, from `start`. What would be above 10 000 degC is given as that.
    #[must_use]
    pub fn temperature_after(&self, start: Celsius, amps: Ampere, time: Second) -> Celsius {
        let Balance { rise, growth } = self.balance(start, amps);
        let time = time.get().max(0.0);
        let exponent = (growth * time).min(BEYOND);
        // At a growth of zero the rise is a straight line in time.
        let span = if exponent.abs() < 1e-12 { time } else { exponent.exp_m1() / growth };
        Celsius::new((start.get() + rise * span).clamp(-273.15, 10_000.0))
    }

    /// How long `amps` may flow until the conductor, from `start`, reaches `limit`; `None` if it never does.
    #[must_use]
    pub fn withstand(&self, start: Celsius, limit: Celsius, amps: Ampere) -> Option<Second> {
        let Balance { rise, growth } = self.balance(start, amps);
        let gap = limit.get() - start.get();
        if rise <= 0.0 {
            return (gap < 0.0).then(|| Second::new(0.0));
        }
        if gap <= 0.0 {
            return Some(Second::new(0.0));
        }
        let grown = growth * gap / rise;
        if grown <= -1.0 {
            return None;
        }
        let time = if grown.abs() < 1e-12 { gap / rise } else { grown.ln_1p() / growth };
        time.is_finite().then(|| Second::new(time))
    }

    /// How long the conductor withstands `amps` under this covering: until its temperature meets the limit that holds for so
    /// long. `None`: for ever.
    #[must_use]
    pub fn stands_for(&self, covering: Covering, start: Celsius, amps: Ampere) -> Option<Second> {
        let mut from = 0.0;
        for (until, limit) in covering.bands().into_iter().flatten() {
            let reached = self.withstand(start, limit.value, amps).map_or(f64::INFINITY, Second::get);
            if reached <= until && reached.is_finite() {
                // A limit that was passed before it came to hold ends the time where it begins.
                return Some(Second::new(reached.max(from)));
            }
            from = until;
        }
        None
    }

    /// Whether the conductor withstands `amps` for `time` under this covering; `None` asks for a current that never ends.
    #[must_use]
    pub fn stand(&self, covering: Covering, start: Celsius, amps: Ampere, time: Option<Second>) -> Stand {
        let withstand = self.stands_for(covering, start, amps);
        let holds = match (time, withstand) {
            (_, None) => true,
            (None, Some(_)) => false,
            (Some(time), Some(withstand)) => time <= withstand,
        };
        let lasts = time.unwrap_or(Second::new(table::OVERLOAD.last().map_or(table::SHORT, |row| row.time)));
        Stand { holds, time, withstand, reached: self.temperature_after(start, amps, lasts), limit: covering.limit(time) }
    }
}

/// Whether a conductor withstands a current, and how hot it gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// It does.
    pub holds: bool,
    /// The time that was asked for; `None`: for ever.
    pub time: Option<Second>,
    /// How long it withstands the current; `None`: for ever.
    pub withstand: Option<Second>,
    /// The temperature that it reaches in the time asked for (in ten days, where that is for ever).
    pub reached: Celsius,
    /// The temperature that the insulation withstands for the time asked for.
    pub limit: Sourced<Celsius>,
}

impl Stand {
    /// The time that it withstands divided by the time asked for: above one it holds. `None` where either is for ever, or no time was
    /// asked for.
    #[must_use]
    pub fn margin(&self) -> Option<f64> {
        let (withstand, time) = (self.withstand?.get(), self.time?.get());
        (time > 0.0).then(|| withstand / time)
    }
}

static ONDERDONK: Source = Source::seen("Onderdonk's formula for the melting of copper", "article of the board trade");
static PREECE: Source = Source::seen("Preece's formula for the melting of copper", "article of the board trade");

/// Whether copper has melted at this temperature: what would be beyond it is not a temperature of a conductor any more.
#[must_use]
pub fn copper_melts(at: Celsius) -> bool {
    let (.., melting) = table::ONDERDONK;
    at.get() > melting
}

/// The current that melts a copper conductor of `size` in `time`, from `ambient`, by Onderdonk; `None` where there is no
/// time.
#[must_use]
pub fn melts_at(size: SquareMillimetre, ambient: Celsius, time: Second) -> Option<Sourced<Ampere>> {
    let (divisor, inverse, melting) = table::ONDERDONK;
    let from = inverse + ambient.get();
    if from <= 0.0 || ambient.get() >= melting || time.get() <= 0.0 {
        return None;
    }
    let heat = ((melting - ambient.get()) / from + 1.0).log10();
    let amps = size.get() * table::CIRCULAR_MIL * (heat / (divisor * time.get())).sqrt();
    Some(Sourced::new(Ampere::new(amps), &ONDERDONK))
}

/// The least current that ever melts a bare copper wire of this diameter in free air, by Preece.
#[must_use]
pub fn melts_in_the_end(diameter: Millimetre) -> Sourced<Ampere> {
    Sourced::new(Ampere::new(table::PREECE * (diameter.get().max(0.0) / 25.4).powf(1.5)), &PREECE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::insulation::Insulation;
    use proptest::prelude::*;

    fn degc(value: f64) -> Celsius {
        Celsius::new(value)
    }

    fn amps(value: f64) -> Ampere {
        Ampere::new(value)
    }

    /// 1 mm2 that 19 A heat to 70 degC in air of 30 degC.
    fn thin() -> Conductor {
        Conductor { size: SquareMillimetre::new(1.0), capacity: Some(amps(19.0)), rated: degc(70.0), ambient: degc(30.0) }
    }

    fn pvc() -> Covering {
        Covering { insulation: Insulation::Pvc, rated: degc(70.0), size: SquareMillimetre::new(1.0) }
    }

    #[test]
    fn the_capacity_is_withstood_for_ever_and_a_little_more_is_not() {
        assert_eq!(thin().stands_for(pvc(), degc(70.0), amps(19.0)), None);
        assert!((thin().temperature_after(degc(70.0), amps(19.0), Second::new(1e6)).get() - 70.0).abs() < 1e-6);
        assert!((thin().temperature_after(degc(30.0), amps(19.0), Second::new(1e6)).get() - 70.0).abs() < 1e-6);
        // 20 A end at a little over 70 degC, which it withstands for ten days of ageing and not for ever.
        assert_eq!(thin().stands_for(pvc(), degc(70.0), amps(20.0)), Some(Second::new(864_000.0)));
        assert!(thin().stands_for(pvc(), degc(70.0), amps(30.0)).unwrap() < Second::new(120.0));
        assert!(!thin().stand(pvc(), degc(70.0), amps(20.0), None).holds);
        let never_heated = thin().stand(pvc(), degc(30.0), amps(0.0), None);
        assert!(never_heated.holds && never_heated.margin().is_none());
    }

    #[test]
    fn a_margin_is_the_time_that_it_stands_over_the_time_asked_for() {
        let stand = thin().stand(pvc(), degc(70.0), amps(115.0), Some(Second::new(0.5)));
        assert!(stand.holds && (stand.margin().unwrap() - 2.0).abs() < 0.15, "{stand:?}");
        assert!(stand.reached < stand.limit.value);
        let too_long = thin().stand(pvc(), degc(70.0), amps(115.0), Some(Second::new(2.0)));
        assert!(!too_long.holds && too_long.reached > too_long.limit.value);
    }

    #[test]
    fn what_has_no_figure_gives_no_verdict() {
        assert_eq!(k(Metal::Copper, degc(100.0), degc(90.0)).value, 0.0);
        assert_eq!(least_area(0.0, amps(10.0), Second::new(1.0)), None);
        assert_eq!(least_trade_size(115.0, amps(2500.0), Second::new(0.1)), Some(SquareMillimetre::new(10.0)));
        assert_eq!(least_trade_size(115.0, amps(250_000.0), Second::new(1.0)), None);
        assert_eq!(adiabatic_time(115.0, SquareMillimetre::new(1.0), amps(0.0)), None);
        assert_eq!(melts_at(SquareMillimetre::new(1.0), degc(25.0), Second::new(0.0)), None);
    }

    proptest! {
        /// A hundred times the capacity leaves no time for cooling: the balance is the adiabatic formula.
        #[test]
        fn large_currents_are_adiabatic(size in 0.22..120.0_f64, share in 100.0..1000.0_f64, start in 20.0..100.0_f64) {
            let conductor = Conductor { size: SquareMillimetre::new(size), capacity: Some(amps(19.0 * size.powf(0.6))), ..thin() };
            let fault = amps(19.0 * size.powf(0.6) * share);
            let k = k(Metal::Copper, degc(start), degc(160.0)).value;
            let adiabatic = adiabatic_time(k, conductor.size, fault).unwrap().get();
            let ours = conductor.withstand(degc(start), degc(160.0), fault).unwrap().get();
            prop_assert!(ours >= adiabatic && ours < adiabatic * 1.002, "{} against {}", ours, adiabatic);
            let bare = Conductor { capacity: None, ..conductor };
            prop_assert!((bare.withstand(degc(start), degc(160.0), fault).unwrap().get() / adiabatic - 1.0).abs() < 1e-9);
        }

        /// The closed form against the equation itself in small steps.
        #[test]
        fn the_closed_form_solves_the_equation(share in 0.0..8.0_f64, start in 30.0..70.0_f64, time in 0.1..60.0_f64) {
            let conductor = thin();
            let fault = amps(19.0 * share);
            let steps = 20_000;
            let step = time / f64::from(steps);
            let mut temperature = start;
            for _ in 0..steps {
                // Heat of the current by IEC 60949, less what 19 A keep in balance at 70 degC in air of 30 degC.
                let heat = |amps: f64, at: f64| amps * amps * (at + 234.5) / (226.0 * 226.0);
                temperature += step * (heat(fault.get(), temperature) - heat(19.0, 70.0) * (temperature - 30.0) / 40.0);
                if temperature > 1000.0 {
                    return Ok(());
                }
            }
            let ours = conductor.temperature_after(degc(start), fault, Second::new(time)).get();
            prop_assert!((ours - temperature).abs() < 0.01 * (temperature - 20.0), "{} against {}", ours, temperature);
        }

        /// Temperature and time are each other's inverse.
        #[test]
        fn after_the_time_it_stands_the_limit_is_reached(share in 1.5..200.0_f64, start in 30.0..100.0_f64, limit in 105.0..350.0_f64) {
            let fault = amps(19.0 * share);
            if let Some(time) = thin().withstand(degc(start), degc(limit), fault) {
                prop_assert!((thin().temperature_after(degc(start), fault, time).get() - limit).abs() < 1e-6 * limit);
            }
        }

        /// More current is never withstood for longer, and nothing panics, whatever is asked.
        #[test]
        fn more_current_never_stands_longer(a in 0.0..1e5_f64, b in 0.0..1e5_f64, start in -40.0..300.0_f64) {
            let stands = |current: f64| thin().stands_for(pvc(), degc(start), amps(current)).map_or(f64::INFINITY, Second::get);
            prop_assert!(stands(a.max(b)) <= stands(a.min(b)));
        }
    }
}
