//! American wire gauge: sizes of round conductors by number.

use super::SquareMillimetre;
use std::fmt;

/// Relative difference of an area up to which it is that of a gauge: tables print areas to eight places.
const SAME: f64 = 1e-7;

impl SquareMillimetre {
    /// The cross-section of gauge `number`; 0, -1, -2 and -3 are 1/0, 2/0, 3/0 and 4/0.
    #[must_use]
    pub fn of_gauge(number: i32) -> Self {
        Self::new(square_millimetre(number))
    }

    /// The gauge of which this is the cross-section, from 4/0 (-3) to 40; `None` for every size that is written in mm2.
    #[must_use]
    pub fn gauge(self) -> Option<i32> {
        let diameter = (self.get().max(0.0) / std::f64::consts::FRAC_PI_4).sqrt();
        let number = 36.0 - 39.0 * (diameter / 0.127).ln() / 92_f64.ln();
        let number = if (-3.5..40.5).contains(&number) { number.round() as i32 } else { return None };
        ((self.get() / square_millimetre(number) - 1.0).abs() < SAME).then_some(number)
    }
}

/// A size as it is written: a gauge as a gauge, everything else in mm2.
impl fmt::Display for SquareMillimetre {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.gauge() {
            Some(number @ 1..) => write!(f, "{number} AWG"),
            Some(number) => write!(f, "{}/0 AWG", 1 - number),
            None => write!(f, "{} mm2", super::significant(self.get(), 3)),
        }
    }
}

/// Cross-section of gauge `number` in mm²; 0, -1, -2 and -3 are 1/0, 2/0, 3/0 and 4/0.
///
/// The diameter is `0.127 mm · 92^((36 − n) / 39)`. Source: ASTM B258, standard nominal diameters, as quoted on an
/// encyclopaedia page on the gauge. It is the area of a solid round conductor; strands of the same gauge differ a little.
pub(super) fn square_millimetre(number: i32) -> f64 {
    let diameter = 0.127 * 92_f64.powf(f64::from(36 - number) / 39.0);
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

/// The number of a gauge as it is written: `20`, `0`, `2/0` or `00`; `None` outside 4/0 to 40.
pub(super) fn number(written: &str) -> Option<i32> {
    let zeros = match written.split_once('/') {
        Some((count, "0")) => Some(count.parse::<i32>().ok()?),
        Some(_) => return None,
        None if !written.is_empty() && written.bytes().all(|digit| digit == b'0') => i32::try_from(written.len()).ok(),
        None => None,
    };
    match zeros {
        Some(zeros) => (1..=4).contains(&zeros).then_some(1 - zeros),
        None => {
            let plain = !written.is_empty() && written.bytes().all(|digit| digit.is_ascii_digit());
            written.parse::<i32>().ok().filter(|number| plain && (1..=40).contains(number))
        }
    }
}
