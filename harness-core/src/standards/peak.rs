//! What a contact withstands for a short time.

use super::source::{Source, Sourced};
use crate::quantity::{Ratio, Second};

static WARMS: Source = Source::practice("time in which a contact with its conductor comes to 63 % of its final rise");
static MAKES: Source = Source::memory("IEC 60947-4-1, category DC-3: a contact makes and breaks four times its rated current");
static FILAMENT: Source = Source::practice("a cold filament has a tenth of the resistance that it has when it glows");

/// The time constant with which a contact gets warm.
#[must_use]
pub fn warming() -> Sourced<Second> {
    Sourced::new(Second::new(20.0), &WARMS)
}

/// How many times its rated current a contact that switches makes and breaks without welding.
#[must_use]
pub fn making() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(4.0), &MAKES)
}

/// How many times its working current a lamp with a filament draws when it is switched on cold.
#[must_use]
pub fn cold_filament() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(10.0), &FILAMENT)
}

/// How many times its rated current a contact carries for a time from cold: as much as warms it to what the rated one does for good.
///
/// At least one; infinite for no time at all.
#[must_use]
pub fn carried_for(time: Second) -> Sourced<Ratio> {
    let share = time.get() / warming().value.get();
    Sourced::new(Ratio::new((1.0 / -(-share).exp_m1()).sqrt().max(1.0)), &WARMS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_peak_as_long_as_the_time_constant_is_a_quarter_more() {
        // 1 / sqrt(1 - 1/e) = 1.2578, the overload of one time constant in any text on intermittent duty.
        let factor = |seconds: f64| carried_for(Second::new(seconds)).value.get();
        assert!((factor(20.0) - 1.2578).abs() < 1e-4, "{}", factor(20.0));
        assert!((factor(1e6) - 1.0).abs() < 1e-9);
        assert!(factor(0.2) > factor(2.0) && factor(2.0) > factor(10.0));
    }
}
