//! How far a capacitor must be charged before a contact closes onto it, and how long people wait for that.

use super::source::{Source, Sourced};
use crate::quantity::{Ratio, Second};

static CHARGED: Source = Source::seen(
    "rules for student vehicles, EV.5.6.1: at least 90 % of the voltage before the second contactor closes",
    "a published set of rules",
);
static WAIT: Source = Source::practice("a precharge that takes 10 s is taken for a fault by every control unit");
static USUAL: Source = Source::practice("a precharge takes 2 s at most");

/// Share of its final voltage to which a capacitor is charged before the main contact closes.
#[must_use]
pub fn precharged() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.9), &CHARGED)
}

/// Time that no precharge takes.
#[must_use]
pub fn too_long() -> Sourced<Second> {
    Sourced::new(Second::new(10.0), &WAIT)
}

/// Time up to which a precharge is usual, so that nobody has to state it.
#[must_use]
pub fn usual() -> Sourced<Second> {
    Sourced::new(Second::new(2.0), &USUAL)
}
