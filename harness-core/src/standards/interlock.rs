//! What published rules ask of interlock loops, and of the energy that may be left in a capacitor.

use super::source::{Source, Sourced};
use crate::quantity::{Joule, Second};

static GROUND: Source = Source::seen(
    "rules for student vehicles, EV.7.8: the interlock must not be in the low side of the contactor coils",
    "a published set of rules",
);
static ENERGY: Source =
    Source::seen("ISO 6469-4:2015 5.2.3: less than 0.2 J where one potential can be touched", "page of a standards catalogue");
static WAIT: Source = Source::practice("labels of service disconnects ask for 5 to 15 min before work begins");

/// Where the loop must not be: the source of the rule.
#[must_use]
pub fn not_in_the_ground_side() -> &'static Source {
    &GROUND
}

/// Energy from which a charged capacitor is dangerous to touch.
#[must_use]
pub fn harmless_energy() -> Sourced<Joule> {
    Sourced::new(Joule::new(0.2), &ENERGY)
}

/// Time after which whoever took the service disconnect out begins to work.
#[must_use]
pub fn longest_wait() -> Sourced<Second> {
    Sourced::new(Second::new(900.0), &WAIT)
}
