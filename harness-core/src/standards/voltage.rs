//! Voltage classes of electrically propelled vehicles, and the isolation they ask for.

use super::source::{Source, Sourced};
use crate::quantity::{Ohm, Volt};
use std::fmt;

static HIGH_VOLTAGE: Source = Source::seen("UN R100, high voltage above 60 V DC or 30 V AC (rms)", "text of the regulation");
static CLASS_B_END: Source = Source::memory("ISO 6469-3, end of voltage class B");
static ISOLATION: Source = Source::seen("UN R100 5.1.3.1", "text of the regulation");
static ISOLATION_COMBINED: Source = Source::seen("ISO 6469-4:2015 5.2.3", "page of a standards catalogue");

/// Voltage class of ISO 6469-3.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum VoltageClass {
    /// Up to and including 60 V DC or 30 V AC (rms).
    A,
    /// Above class A: high voltage, dangerous to touch.
    B,
}

impl fmt::Display for VoltageClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::A => "voltage class A",
            Self::B => "voltage class B",
        })
    }
}

/// Highest voltage of class A, DC or AC (rms).
#[must_use]
pub fn class_a_limit(ac: bool) -> Sourced<Volt> {
    Sourced::new(Volt::new(if ac { 30.0 } else { 60.0 }), &HIGH_VOLTAGE)
}

/// Highest voltage of class B, DC or AC (rms); remembered.
#[must_use]
pub fn class_b_limit(ac: bool) -> Sourced<Volt> {
    Sourced::new(Volt::new(if ac { 1000.0 } else { 1500.0 }), &CLASS_B_END)
}

static EXTRA_LOW_END: Source = Source::memory("IEC 61140, end of extra-low voltage: 120 V DC, 50 V AC");

/// The end of extra-low voltage; remembered. Above it, not below, trucks and light vehicles too open both poles of a battery and watch every
/// plug.
#[must_use]
pub fn extra_low_limit(ac: bool) -> Sourced<Volt> {
    Sourced::new(Volt::new(if ac { 50.0 } else { 120.0 }), &EXTRA_LOW_END)
}

/// The class of a domain whose highest voltage is `max`; the limit itself belongs to class A.
///
/// What is above the end of class B is still reported as class B: the cautions of that class are the least it needs.
#[must_use]
pub fn class(max: Volt, ac: bool) -> VoltageClass {
    if max.get().abs() > class_a_limit(ac).value.get() { VoltageClass::B } else { VoltageClass::A }
}

/// Least isolation resistance to chassis per volt of working voltage, in ohm, of a DC circuit.
#[must_use]
pub fn isolation_per_volt() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(100.0), &ISOLATION)
}

/// Least isolation resistance to chassis per volt of working voltage, in ohm, of an AC circuit.
#[must_use]
pub fn isolation_per_volt_ac() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(500.0), &ISOLATION_COMBINED)
}

/// Least isolation resistance to chassis of a circuit of this working voltage, DC or AC.
#[must_use]
pub fn least_isolation(working: Volt, ac: bool) -> Sourced<Ohm> {
    let per_volt = if ac { isolation_per_volt_ac() } else { isolation_per_volt() };
    per_volt.map(|per_volt| Ohm::new(per_volt.get() * working.get().abs()))
}
