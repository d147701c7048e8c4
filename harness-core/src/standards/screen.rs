//! Screens of cables: how often they are grounded.

use super::source::{Source, Sourced};

static SIGNAL: Source = Source::practice("the screen of a cable for signals is grounded at one end");
static CLASS_B: Source = Source::practice("the screen of a cable of class B is grounded at both ends, through the glands");

/// How many grounds the screen of a cable for signals has.
#[must_use]
pub fn signal_screen() -> Sourced<usize> {
    Sourced::new(1, &SIGNAL)
}

/// How many grounds the screen of a cable of class B has at least.
#[must_use]
pub fn class_b_screen() -> Sourced<usize> {
    Sourced::new(2, &CLASS_B)
}
