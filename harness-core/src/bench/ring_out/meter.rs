//! The meter of the bench: what it adds to a reading, and which readings fit what a loom should show.

use super::{
    piece::{Ohms, Shown},
    reading::{Reading, Setting},
};
use crate::{
    model::Model,
    quantity::{Ohm, Ratio},
    standards::ring_out,
};

/// The least and the most that a test of diodes shows of one that conducts, beside its drop, in volts.
const FORWARD: [f64; 2] = [0.1, 0.3];
/// What a test of diodes sends at least and at most, in ampere.
const DIODE_TEST: [f64; 2] = [0.3e-3, 2e-3];
/// What the last digit of a test of diodes adds, in volts.
const DIODE_DIGITS: f64 = 0.02;
/// What a meter in ohms shows at least over a diode that conducts.
const DIODE_IN_OHMS: f64 = 50.0;

/// A meter.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Meter {
    /// Resistance of its leads that is left after they were shorted and subtracted, in ohm.
    pub leads: f64,
    /// Its error, as a share of the reading.
    pub error: f64,
    /// Its error beside that, in ohm.
    pub digits: f64,
    /// The reading from which two points are open, in ohm.
    pub open: f64,
    /// The limit of continuity where a conductor's resistance is not known, in ohm.
    pub usual: f64,
}

impl Default for Meter {
    fn default() -> Self {
        Self {
            leads: ring_out::leads().value.get(),
            error: ring_out::error().value.get(),
            digits: ring_out::digits().value.get(),
            open: ring_out::open().value.get(),
            usual: ring_out::continuity().value.get(),
        }
    }
}

impl Meter {
    /// The meter of a workshop, as its design describes it.
    pub(in crate::bench) fn of(model: &Model) -> Self {
        let usual = Self::default();
        Self {
            leads: model.bench.leads.map_or(usual.leads, |leads| leads.value.get()),
            error: model.bench.error.map_or(usual.error, |error| error.value.get()),
            ..usual
        }
    }

    /// The least and the most that it reads where a loom has this resistance, the leads subtracted.
    pub(super) fn limits(&self, ohms: Ohms) -> [f64; 2] {
        let most = ohms.most.unwrap_or(ohms.nominal + self.usual);
        let beside = self.digits + self.leads;
        let least = ohms.least * (1.0 - self.error) - beside;
        [if ohms.least > 0.0 { least.max(0.0) } else { -beside }, most * (1.0 + self.error) + beside]
    }

    /// The same of conductors and resistors whose resistance is known within this share.
    pub(in crate::bench) fn limits_of(&self, ohms: Ohm, spread: Ratio) -> [Ohm; 2] {
        let (nominal, spread) = (ohms.get(), spread.get());
        let most = Some(nominal * (1.0 + spread));
        let [least, most] = self.limits(Ohms { least: nominal * (1.0 - spread), nominal, most });
        [Ohm::new(least.max(0.0)), Ohm::new(most)]
    }

    /// Whether a reading is one of a loom that shows this.
    pub(super) fn agrees(&self, reading: Reading, shown: Shown, setting: Setting) -> bool {
        match (shown, reading) {
            (Shown::Vague, _) => true,
            (Shown::Open, Reading::Open) => true,
            (Shown::Open, Reading::Ohms(ohm)) => ohm >= self.open,
            (Shown::Open, Reading::Volts(_)) => false,
            (Shown::Ohms(ohms), Reading::Ohms(ohm)) => {
                let [least, most] = self.limits(ohms);
                (least..=most).contains(&ohm)
            }
            (Shown::Ohms(ohms), Reading::Volts(volts)) => {
                let [least, most] = [ohms.nominal * DIODE_TEST[0] - DIODE_DIGITS, ohms.nominal * DIODE_TEST[1] + DIODE_DIGITS];
                (least..=most).contains(&volts)
            }
            // A test of diodes shows nothing of a resistor of more than its range.
            (Shown::Ohms(ohms), Reading::Open) => {
                setting == Setting::Diode && ohms.nominal * DIODE_TEST[1] > ring_out::diode_range().value.get()
            }
            (Shown::Forward(drop), Reading::Volts(volts)) => (FORWARD[0].min(drop)..=drop + FORWARD[1]).contains(&volts),
            // In ohms nobody knows what a diode shows, only that it is not metal.
            (Shown::Forward(_), Reading::Ohms(ohm)) => setting == Setting::Ohms && ohm >= DIODE_IN_OHMS,
            (Shown::Forward(_), Reading::Open) => setting == Setting::Ohms,
        }
    }
}
