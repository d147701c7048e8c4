//! What a meter and an eye see when a fault is looked for, and how often which fault is the one.
//!
//! Nothing but the order in which causes are shown rests on these figures, and which reading is proposed next.

use super::source::{Source, Sourced};
use crate::quantity::{Ampere, Ohm, Ratio, Volt};

static NOISE: Source = Source::practice("a reading of a workshop meter on a living vehicle, with what loads and battery vary");
static SMALLEST: Source = Source::practice("what probes, ripple and digits add to a reading");
static FLOATING: Source =
    Source::practice("a meter of 10 Mohm at a point that nothing joins shows next to nothing, or what it picks up");
static SLIPS: Source = Source::practice("readings at the wrong point or written down wrongly");
static OFTEN: Source = Source::practice("how often a fault of a loom is of this kind, beside others");

/// Standard deviation of a reading, as a share of it.
#[must_use]
pub fn noise() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.02), &NOISE)
}

/// Standard deviation of a voltage, however small.
#[must_use]
pub fn least_volts() -> Sourced<Volt> {
    Sourced::new(Volt::new(0.05), &SMALLEST)
}

/// Standard deviation of the current that a clamp shows, however small.
#[must_use]
pub fn least_amps() -> Sourced<Ampere> {
    Sourced::new(Ampere::new(0.1), &SMALLEST)
}

/// Standard deviation of a resistance, however small: the leads, shorted first and subtracted.
#[must_use]
pub fn least_ohms() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.2), &SMALLEST)
}

/// Standard deviation of the voltage at a point that nothing joins to the other lead.
#[must_use]
pub fn floating() -> Sourced<Volt> {
    Sourced::new(Volt::new(0.5), &FLOATING)
}

/// Share of readings that have nothing to do with what they should show.
#[must_use]
pub fn slips() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.005), &SLIPS)
}

/// How often a fault of a kind is the one, beside others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Often {
    /// A conductor is broken, mostly at its crimps.
    pub open: f64,
    /// A fuse has blown by itself.
    pub blown: f64,
    /// Two neighbouring contacts are bridged.
    pub bridged: f64,
    /// A contact or joint has more resistance.
    pub raised: f64,
    /// A contact of a relay is welded.
    pub welded: f64,
    /// A contact of a relay does not close.
    pub stuck: f64,
    /// A contact is not made: a terminal that is not seated or is bent.
    pub apart: f64,
    /// A load, coil, source or switch does nothing.
    pub dead: f64,
    /// A net is shorted to ground.
    pub shorted: f64,
}

/// How often which fault is the one.
#[must_use]
pub fn often() -> Sourced<Often> {
    let often =
        Often { open: 2.0, blown: 2.0, bridged: 0.2, raised: 1.0, welded: 0.5, stuck: 1.0, apart: 0.5, dead: 0.5, shorted: 0.2 };
    Sourced::new(often, &OFTEN)
}
