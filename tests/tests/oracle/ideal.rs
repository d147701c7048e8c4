//! The best that any ranking can do with readings: it knows that the fault is one of those tried, each as likely, and what each shows exactly.
//!
//! By the rule of Bayes (T. Bayes, An essay towards solving a problem in the doctrine of chances, 1763, from memory) no order of the faults has
//! the true one in its first three places more often than that by their likelihoods. Faults that show the same wherever a probe reaches are
//! one place; of places that readings do not distinguish at all one is as good as the other.

use harness_core::bench::diagnose::{Probe, Reading};

/// What a meter errs by beside its share, in volt or ohm, in ampere with a clamp.
const BESIDE: f64 = 0.05;
const CLAMP: f64 = 0.1;
/// Likelihoods that differ by less, as a share, are alike.
const ALIKE: f64 = 1e-3;

/// What the faults show, one row for all that show the same.
pub(super) struct Ideal {
    noise: f64,
    rows: Vec<(Vec<Option<f64>>, f64)>,
}

impl Ideal {
    pub(super) fn new(noise: f64) -> Self {
        Self { noise, rows: Vec::new() }
    }

    /// A fault, by what it shows at each of these probes.
    pub(super) fn add(&mut self, probes: &[Probe], shows: Vec<Option<f64>>) {
        match self.place(probes, &shows) {
            Some(place) => self.rows[place].1 += 1.0,
            None => self.rows.push((shows, 1.0)),
        }
    }

    /// How often the place of a fault is among the first three, by these readings.
    pub(super) fn first_three(&self, probes: &[Probe], shows: &[Option<f64>], readings: &[Reading]) -> f64 {
        let own = self.place(probes, shows).expect("the fault is one of those");
        let at: Vec<usize> =
            readings.iter().map(|reading| probes.iter().position(|probe| *probe == reading.probe).expect("a probe")).collect();
        let likely = |(shows, count): &(Vec<Option<f64>>, f64)| {
            let each = readings.iter().zip(&at).map(|(reading, at)| self.likelihood(reading, shows[*at]));
            count * each.product::<f64>()
        };
        let likely: Vec<f64> = self.rows.iter().map(likely).collect();
        let before = likely.iter().filter(|other| **other > likely[own] * (1.0 + ALIKE)).count();
        let alike = likely.iter().filter(|other| (**other / likely[own] - 1.0).abs() <= ALIKE).count();
        3_usize.saturating_sub(before).min(alike) as f64 / alike as f64
    }

    fn place(&self, probes: &[Probe], shows: &[Option<f64>]) -> Option<usize> {
        let is_alike = |known: &Vec<Option<f64>>| {
            probes.iter().zip(known.iter().zip(shows)).all(|(probe, both)| match both {
                (Some(one), Some(other)) => (one - other).abs() <= 2.0 * self.error(*probe, *one).max(self.error(*probe, *other)),
                (one, other) => one.is_none() == other.is_none(),
            })
        };
        self.rows.iter().position(|(known, _)| is_alike(known))
    }

    fn error(&self, probe: Probe, value: f64) -> f64 {
        match probe {
            Probe::Works(_) => 0.05,
            Probe::Amps(_) => (value * self.noise).hypot(CLAMP),
            Probe::Volts { .. } | Probe::Ohms { .. } => (value * self.noise).hypot(BESIDE),
        }
    }

    /// With a little for a reading that is noted wrongly.
    fn likelihood(&self, reading: &Reading, shows: Option<f64>) -> f64 {
        let Some(shows) = shows else { return 1e-3 };
        let error = self.error(reading.probe, shows);
        let beside = (reading.value - shows) / error;
        2e-5 + (-0.5 * beside * beside).exp() / error
    }
}
