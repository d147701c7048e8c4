//! Axes of a figure: where a value is, and which values are written beside it.

/// How an axis grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Growth {
    /// Evenly.
    Linear,
    /// By decades; values are above zero.
    Decades,
}

/// An axis from a value to another, laid from a place to another; either may be the larger one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    growth: Growth,
    values: (f64, f64),
    places: (f64, f64),
}

impl Axis {
    /// An axis; `None` if a value is not finite, both are the same, or one that must be above zero is not.
    #[must_use]
    pub fn new(growth: Growth, values: (f64, f64), places: (f64, f64)) -> Option<Self> {
        let fits = |value: f64| value.is_finite() && (growth == Growth::Linear || value > 0.0);
        (fits(values.0) && fits(values.1) && values.0 != values.1).then_some(Self { growth, values, places })
    }

    /// The values at its ends.
    #[must_use]
    pub const fn values(&self) -> (f64, f64) {
        self.values
    }

    /// Where `value` is; beyond the ends, at the nearer end.
    #[must_use]
    pub fn place(&self, value: f64) -> f64 {
        let scaled = |value: f64| match self.growth {
            Growth::Linear => value,
            Growth::Decades => value.max(f64::MIN_POSITIVE).log10(),
        };
        let (from, to) = (scaled(self.values.0), scaled(self.values.1));
        let share = ((scaled(value) - from) / (to - from)).clamp(0.0, 1.0);
        self.places.0 + (self.places.1 - self.places.0) * share
    }

    /// Whether `value` is between the ends.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        value >= self.values.0.min(self.values.1) && value <= self.values.0.max(self.values.1)
    }

    /// Round values between the ends, smallest first, about `most` of them: 1, 2, 5 and their tenfolds.
    #[must_use]
    pub fn marks(&self, most: usize) -> Vec<f64> {
        let (low, high) = (self.values.0.min(self.values.1), self.values.0.max(self.values.1));
        match self.growth {
            Growth::Linear => even(low, high, most),
            Growth::Decades => decades(low, high, most),
        }
    }
}

/// Whole multiples of 1, 2 or 5 times a power of ten.
fn even(low: f64, high: f64, most: usize) -> Vec<f64> {
    let least = (high - low) / most.max(1) as f64;
    let exponent = least.log10().floor() as i32;
    let step = [(1.0, exponent), (2.0, exponent), (5.0, exponent), (10.0, exponent)]
        .into_iter()
        .map(|(digit, exponent)| digit * 10_f64.powi(exponent))
        .find(|step| *step >= least * 0.999_999)
        .unwrap_or(high - low);
    let first = (low / step - 1e-9).ceil();
    let mut marks = Vec::new();
    let mut count = 0.0;
    while marks.len() <= 2 * most && (first + count) * step <= high + step * 1e-9 {
        marks.push(rounded((first + count) * step));
        count += 1.0;
    }
    marks
}

/// Decades, with 2 and 5 between them where there is room.
fn decades(low: f64, high: f64, most: usize) -> Vec<f64> {
    let (first, last) = (low.log10().floor() as i32, high.log10().ceil() as i32);
    let digits: &[f64] = if ((last - first) as usize) * 3 <= most { &[1.0, 2.0, 5.0] } else { &[1.0] };
    (first..=last)
        .flat_map(|exponent| digits.iter().map(move |digit| rounded(digit * 10_f64.powi(exponent))))
        .filter(|value| *value >= low * 0.999_999 && *value <= high * 1.000_001)
        .collect()
}

/// Without the last digits of a product of tenths.
fn rounded(value: f64) -> f64 {
    format!("{value:.9e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::{Axis, Growth};

    #[test]
    fn marks_are_round_and_inside() {
        let axis = Axis::new(Growth::Linear, (0.0, 0.73), (0.0, 100.0)).unwrap();
        assert_eq!(axis.marks(8), [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7]);
        let axis = Axis::new(Growth::Decades, (0.5, 2000.0), (0.0, 100.0)).unwrap();
        assert_eq!(axis.marks(20), [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0]);
        assert_eq!(axis.marks(5), [1.0, 10.0, 100.0, 1000.0]);
    }

    #[test]
    fn places_follow_the_values_and_stay_inside() {
        let axis = Axis::new(Growth::Decades, (1.0, 100.0), (200.0, 0.0)).unwrap();
        assert!((axis.place(10.0) - 100.0).abs() < 1e-9);
        assert!(axis.place(1e9).abs() < 1e-9 && (axis.place(-3.0) - 200.0).abs() < 1e-9);
        assert!(Axis::new(Growth::Decades, (0.0, 1.0), (0.0, 1.0)).is_none());
        assert!(Axis::new(Growth::Linear, (f64::NAN, 1.0), (0.0, 1.0)).is_none());
    }
}
