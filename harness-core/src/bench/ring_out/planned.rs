//! A reading of a plan: where the leads are, why, and what the sound loom shows there.

use super::{
    bare::Spot,
    meter::Meter,
    piece::Shown,
    reading::{Reading, Setting},
};
use crate::arena::ids;

ids! {
    /// A reading of the plan, in the order in which it is taken.
    StepId;
}

/// Why a reading is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// The two points are of one net.
    Joined,
    /// A resistor, or several conductors with one, lead from the one to the other.
    Resistor,
    /// The two points are of nets that nothing joins.
    Apart,
    /// A diode lets current from the first to the second.
    Forward,
    /// A diode lets none from the first to the second.
    Backward,
    /// One net against all those before it, clipped together on a strip: nothing joins them, wherever in the loom.
    Strip,
}

/// What the other lead is on where several places are clipped together.
pub(super) const STRIP: &str = "strip";

/// A reading of the plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Planned {
    pub(super) from: Spot,
    /// Where the other lead is; on the strip the first place of it.
    pub(super) to: Spot,
    pub(super) setting: Setting,
    pub(super) purpose: Purpose,
    /// What the sound loom shows, with the contacts at the leads.
    pub(super) shown: Shown,
}

impl Planned {
    /// Whether the other lead is on the strip.
    pub(super) fn is_on_strip(&self) -> bool {
        self.purpose == Purpose::Strip
    }

    /// Whether a reading is one that the sound loom gives.
    pub(super) fn accepts(&self, meter: &Meter, reading: Reading) -> bool {
        meter.agrees(reading, self.shown, self.setting)
    }
}
