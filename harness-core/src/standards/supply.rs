//! What a supply must give a load, and what single faults are tried with.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, Ratio, Watt};

static DEAD: Source = Source::practice("a load with less than half of its voltage does not work");
static LOW: Source = Source::memory("ISO 16750-2, code C of a 12 V system: electronics work from 9 V up");
static CORRODED: Source =
    Source::practice("resistance of a corroded contact that is still found by its heat or its voltage drop");
static WARM: Source = Source::practice("a contact of a plug that gives off more melts its housing in the end");
static BRIDGED: Source = Source::practice("resistance of a bridge of metal between two contacts");

/// Share of the voltage that it is made for below which a load has lost its supply.
#[must_use]
pub fn dead() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.5), &DEAD)
}

/// Share of the voltage that it is made for below which a load may not do what it should.
#[must_use]
pub fn low() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.75), &LOW)
}

/// By how much the resistance of a contact is raised where nobody says.
#[must_use]
pub fn corroded() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(0.5), &CORRODED)
}

/// Heat in a contact from which on it is damaged.
#[must_use]
pub fn contact_heat() -> Sourced<Watt> {
    Sourced::new(Watt::new(5.0), &WARM)
}

/// Resistance of a bridge between two contacts.
#[must_use]
pub fn bridge() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(1e-3), &BRIDGED)
}
