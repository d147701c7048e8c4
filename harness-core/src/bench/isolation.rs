//! Isolation worked out from three readings of a voltmeter: the weaker side, ohm per volt, the verdict, and how far errors of the readings reach.
//!
//! The idea: the voltmeter reads each pole against the chassis, then the pole that reads more once again with a known resistor beside it. The
//! further that reading falls, the better is the isolation. Each figure is known within an error; the result is between what it is with all
//! errors at their worst in one direction and in the other, and most often within the root of the sum of their squares.

mod readings;

pub use readings::{Misfit, Pole, Shown, ThreeReadings};

use crate::{
    quantity::{Ohm, Volt},
    standards::{
        Source, Sourced,
        isolation::{by_three_readings, method},
        voltage::{isolation_per_volt, isolation_per_volt_ac},
    },
};

/// A resistance as far as the readings say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// What the readings give; `None` where the last one was zero.
    pub value: Option<Ohm>,
    /// The least, with all errors in one direction.
    pub least: Ohm,
    /// The most, with all errors in the other direction; `None` for no limit.
    pub most: Option<Ohm>,
    /// By how much it is off most often: the root of the sum of squares.
    pub likely: Option<Ohm>,
}

/// Whether isolation is enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It is, whatever the errors.
    Holds,
    /// It is not, whatever the errors.
    Fails,
    /// It is within the errors of the readings.
    Undecided,
}

/// A limit with its verdict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// The limit, of one volt.
    pub per_volt: Sourced<Ohm>,
    /// The limit at the working voltage.
    pub least: Ohm,
    /// The verdict.
    pub verdict: Verdict,
}

/// Isolation as three readings give it.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Isolation {
    /// The pole whose isolation is the weaker.
    pub weaker: Pole,
    /// The isolation resistance of that pole to the chassis.
    pub ohms: Reached,
    /// That of the other pole, the resistance of the meter taken off; `None` where it is beyond what the readings show.
    pub other: Option<Ohm>,
    /// The working voltage.
    pub working: Volt,
    /// The same as `ohms`, of one volt.
    pub per_volt: Reached,
    /// That of direct and that of alternating voltage, or of both joined.
    pub judged: [Judged; 2],
    /// The resistor is not within a fifth of what the method asks for at either limit; any is valid, but errors reach further.
    pub unusual_resistor: bool,
}

/// Where the method comes from, with its status.
#[must_use]
pub fn source() -> &'static Source {
    method()
}

/// Isolation at a working voltage from three readings.
///
/// # Errors
/// If the readings can't be of one battery and one resistor.
pub fn isolation(readings: &ThreeReadings, working: Volt) -> Result<Isolation, Misfit> {
    let battery = readings.battery.volts;
    for (what, value) in [("Vb", battery.get()), ("R0", readings.known.get()), ("the working voltage", working.get())] {
        if value <= 0.0 {
            return Err(Misfit::NotPositive(what));
        }
    }
    let (negative, positive) = (readings.negative, readings.positive);
    let slack = readings.error(readings.battery) + readings.error(negative) + readings.error(positive);
    let sum = negative.volts + positive.volts;
    if sum.get() > battery.get() + slack {
        return Err(Misfit::MoreThanTheBattery { sum, battery });
    }
    let unseen = readings.error(negative) + readings.error(positive);
    if sum.get() <= unseen {
        // Against the input of the meter: what it shows of the battery is its share of the divider with all leaks together.
        let share = ((sum.get() + unseen) / battery.get()).clamp(f64::MIN_POSITIVE, 1.0);
        return Err(Misfit::NothingLeaks { least: Ohm::new(readings.meter_input.get() * (1.0 - share) / share) });
    }
    let (pole, with) = readings.with;
    let without = readings.at(pole);
    let higher = if negative.volts >= positive.volts { Pole::Negative } else { Pole::Positive };
    if pole != higher && readings.at(higher).volts > without.volts {
        return Err(Misfit::AtTheOtherPole { higher });
    }
    if with.volts >= without.volts {
        return Err(Misfit::DidNotFall { pole, without: without.volts, with: with.volts });
    }
    let ohms = reached(readings, without, with);
    let per_volt = ohms.map(|ohms| Ohm::new(ohms.get() / working.get()));
    let limits = [isolation_per_volt(), isolation_per_volt_ac()];
    let judged = limits.map(|limit| Judged {
        per_volt: limit,
        least: Ohm::new(limit.value.get() * working.get()),
        verdict: match per_volt {
            Reached { least, .. } if least >= limit.value => Verdict::Holds,
            Reached { most: Some(most), .. } if most < limit.value => Verdict::Fails,
            _ => Verdict::Undecided,
        },
    });
    let asked = limits.map(|limit| limit.value.get() * battery.get());
    let is_near = |asked: f64| (readings.known.get() / asked - 1.0).abs() <= 0.2;
    Ok(Isolation {
        // The pole that reads more is held away from the chassis by the better side.
        weaker: pole.other(),
        other: ohms.value.and_then(|weaker| other_side(readings, weaker, without.volts)),
        unusual_resistor: !asked.into_iter().any(is_near),
        ohms,
        working,
        per_volt,
        judged,
    })
}

impl Reached {
    fn map(self, change: impl Fn(Ohm) -> Ohm) -> Self {
        Self {
            value: self.value.map(&change),
            least: change(self.least),
            most: self.most.map(&change),
            likely: self.likely.map(change),
        }
    }
}

/// The isolation of the weaker side with all errors.
fn reached(readings: &ThreeReadings, without: Shown, with: Shown) -> Reached {
    let (known, battery) = (readings.known.get(), readings.battery.volts.get());
    let (without_error, with_error, battery_error) =
        (readings.error(without), readings.error(with), readings.error(readings.battery));
    let known_error = known * readings.known_error.get();
    let value = by_three_readings(readings.known, readings.battery.volts, without.volts, with.volts);
    // It grows with R0, Vb and V, and falls with V'.
    let corner = |sign: f64| {
        let (known, battery) = (known + sign * known_error, battery + sign * battery_error);
        let (without, with) = (without.volts.get() + sign * without_error, with.volts.get() - sign * with_error);
        by_three_readings(Ohm::new(known), Volt::new(battery), Volt::new(without), Volt::new(with))
    };
    let likely = value.map(|value| {
        let value = value.get();
        let slope = |volts: f64| known * battery / (volts * volts);
        let terms = [
            value / known * known_error,
            value / battery * battery_error,
            slope(without.volts.get()) * without_error,
            slope(with.volts.get()) * with_error,
        ];
        Ohm::new(terms.iter().map(|term| term * term).sum::<f64>().sqrt())
    });
    Reached { value, least: corner(-1.0).unwrap_or(Ohm::new(0.0)), most: corner(1.0), likely }
}

/// The isolation of the better side: what it is in parallel with the meter follows from the divider that it makes with the weaker one.
fn other_side(readings: &ThreeReadings, weaker: Ohm, without: Volt) -> Option<Ohm> {
    let rest = readings.battery.volts.get() - without.get();
    let seen = (rest > 0.0).then(|| weaker.get() * without.get() / rest)?;
    let conductance = 1.0 / seen - 1.0 / readings.meter_input.get();
    (conductance > 0.0).then(|| Ohm::new(1.0 / conductance))
}

#[cfg(test)]
mod tests {
    use super::{Misfit, Pole, Shown, ThreeReadings, Verdict, isolation};
    use crate::quantity::{Ohm, Ratio, Volt};

    fn shown(volts: f64) -> Shown {
        Shown { volts: Volt::new(volts), digit: Volt::new(0.1) }
    }

    fn readings(negative: f64, positive: f64, pole: Pole, with: f64) -> ThreeReadings {
        ThreeReadings::of_usual_tools(shown(400.0), shown(negative), shown(positive), (pole, shown(with)), Ohm::new(200e3))
    }

    /// Two sides of known resistance to the chassis, measured with a meter of 10 Mohm through the divider that they make: what the method gives
    /// back, however uneven they are.
    #[test]
    fn the_sides_are_found_again_whatever_they_are() {
        let divide = |above: f64, below: f64| 400.0 * below / (above + below);
        let beside = |one: f64, other: f64| one * other / (one + other);
        for (plus, minus) in [(300e3, 600e3), (500e3, 30e3), (1e6, 1e6), (20e3, 5e6), (2e6, 41e3)] {
            let meter = 10e6;
            let (v1, v2) = (divide(plus, beside(minus, meter)), divide(minus, beside(plus, meter)));
            let (pole, with) = if v1 >= v2 {
                (Pole::Negative, divide(plus, beside(beside(minus, meter), 200e3)))
            } else {
                (Pole::Positive, divide(minus, beside(beside(plus, meter), 200e3)))
            };
            let found = isolation(&readings(v1, v2, pole, with), Volt::new(400.0)).expect("readings of one battery");
            let (weaker, better) = if plus <= minus { (plus, minus) } else { (minus, plus) };
            let near = |ohms: Option<Ohm>, meant: f64| ohms.is_some_and(|ohms| (ohms.get() / meant - 1.0).abs() < 1e-6);
            assert!(near(found.ohms.value, weaker) && near(found.other, better), "{plus} {minus}: {found:?}");
            assert_eq!(found.weaker, if plus <= minus { Pole::Positive } else { Pole::Negative }, "{plus} {minus}");
        }
    }

    /// Every combination of errors at their ends stays between the least and the most, and both ends are reached.
    #[test]
    fn errors_reach_as_far_as_the_worst_combination() {
        let readings = readings(266.7, 133.3, Pole::Negative, 133.3);
        let found = isolation(&readings, Volt::new(400.0)).expect("readings of one battery");
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for corner in 0..16 {
            let sign = |bit: u32| if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
            let volts = |shown: Shown, bit: u32| shown.volts.get() * (1.0 + 0.01 * sign(bit)) + 0.2 * sign(bit);
            let known = 200e3 * (1.0 + 0.05 * sign(0));
            let ohms = known * volts(readings.battery, 1) * (1.0 / volts(readings.with.1, 2) - 1.0 / volts(readings.negative, 3));
            (least, most) = (least.min(ohms), most.max(ohms));
        }
        assert!((found.ohms.least.get() / least - 1.0).abs() < 1e-9, "{found:?}");
        assert!(found.ohms.most.is_some_and(|ohms| (ohms.get() / most - 1.0).abs() < 1e-9), "{found:?}");
        let likely = found.ohms.likely.expect("a value").get();
        assert!(likely > 0.0 && likely < (most - least) / 2.0, "{found:?}");
    }

    #[test]
    fn the_verdict_waits_where_the_errors_decide() {
        let mut readings = readings(266.667, 133.333, Pole::Negative, 133.333);
        let verdict = |readings: &ThreeReadings, working: f64| {
            isolation(readings, Volt::new(working)).expect("readings of one battery").judged.map(|judged| judged.verdict)
        };
        // 300 kohm: 750 ohm per volt at 400 V, 517 at 580 V, 429 at 700 V.
        assert_eq!(verdict(&readings, 400.0), [Verdict::Holds, Verdict::Holds]);
        assert_eq!(verdict(&readings, 580.0), [Verdict::Holds, Verdict::Undecided]);
        assert_eq!(verdict(&readings, 700.0), [Verdict::Holds, Verdict::Fails]);
        // Better tools decide it.
        (readings.known_error, readings.meter_error, readings.digits) = (Ratio::new(0.001), Ratio::new(0.001), 0.0);
        assert_eq!(verdict(&readings, 580.0), [Verdict::Holds, Verdict::Holds]);
    }

    #[test]
    fn readings_that_do_not_fit_are_refused() {
        let refused = |readings: &ThreeReadings| isolation(readings, Volt::new(400.0)).expect_err("refused");
        assert!(matches!(refused(&readings(300.0, 200.0, Pole::Negative, 100.0)), Misfit::MoreThanTheBattery { .. }));
        assert_eq!(refused(&readings(22.6, 377.4, Pole::Negative, 10.0)), Misfit::AtTheOtherPole { higher: Pole::Positive });
        assert!(matches!(refused(&readings(266.7, 133.3, Pole::Negative, 266.7)), Misfit::DidNotFall { .. }));
        // 0.2 V of each may be missing: 0.4 V of 400 V in all, a thousandth, behind 10 Mohm.
        let Misfit::NothingLeaks { least } = refused(&readings(0.0, 0.0, Pole::Negative, 0.0)) else { panic!("nothing leaks") };
        assert!((least.get() / 9.99e9 - 1.0).abs() < 1e-9, "{least}");
        // A reading of zero with the resistor has no upper end.
        let good = isolation(&readings(250.0, 140.0, Pole::Negative, 0.0), Volt::new(400.0)).expect("readings of one battery");
        assert_eq!((good.ohms.value, good.ohms.most), (None, None));
        assert_eq!(good.judged.map(|judged| judged.verdict), [Verdict::Holds, Verdict::Holds]);
    }
}
