//! The order with names and sentences, as a table has it.

use super::{plan::Phase, readings::How};
use crate::quantity::{Ampere, Ohm, Second, Volt};

/// How a vehicle is brought to life, or made safe for work.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct GoingLive {
    /// The mode in which hands work.
    pub quiet: String,
    /// The disconnects and main switches that are out in it.
    pub out: Vec<String>,
    /// The steps, in their order.
    pub steps: Vec<Step>,
    /// What the design does not say, so that the order can't.
    pub unknown: Vec<String>,
    /// Anything in the order is of voltage class B.
    pub has_class_b: bool,
}

/// A step.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Step {
    /// Its number, from one.
    pub number: usize,
    /// The stage that it belongs to.
    pub phase: Phase,
    /// Trained people alone do it: voltage class B.
    pub trained: bool,
    /// What hands do, in one line.
    pub does: String,
    /// How, and what to mind; each in a sentence.
    pub how: Vec<String>,
    /// The mode in which it is read; empty where nothing has voltage.
    pub mode: String,
    /// What a meter shows.
    pub readings: Vec<Reading>,
    /// How many readings more there would be.
    pub more: usize,
    /// When to stop, and what to do then.
    pub stop: String,
}

/// A reading.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Reading {
    /// It is made before hands do what the step asks for.
    pub before: bool,
    /// Where: a point, or the thing whose current it is.
    pub at: String,
    /// Against which point; empty for a current.
    pub against: String,
    /// What a sound vehicle gives.
    pub figure: Figure,
    /// How it is read.
    pub how: How,
    /// Of a current, the wires that a clamp goes around, all of them at once.
    pub around: Vec<String>,
    /// So long after the step began; `None` once it has settled.
    pub after: Option<Second>,
}

/// What a reading gives: as computed, the least, the most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Figure {
    /// A voltage.
    Volts(Volt, Volt, Volt),
    /// A current.
    Amps(Ampere, Ampere, Ampere),
    /// A resistance; `None` for no figure, and for no limit.
    Ohms(Option<Ohm>, Option<Ohm>, Option<Ohm>),
}
