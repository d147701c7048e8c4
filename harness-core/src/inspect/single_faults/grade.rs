//! How severe an outcome of a single fault is: the one place that decides.
//!
//! | level | outcomes |
//! |---|---|
//! | danger | points of class A above 60 V DC or 30 V AC; classes A and B joined; a conductor that burns because no fuse opens, or none in time; the drive enabled in a mode in which nothing may; a contact that must be open and is not; a contact of class B that cannot open; points of class B that become live in a mode in which everything must be safe to touch |
//! | error | more voltage than a load or a net may have; a contact that overheats; points of class B that become live in any other mode |
//! | warning | a device whose function is safety or essential stops, gets too little, starts or cannot be switched off; no steady state; a fuse of which no times are known |
//! | note | any other device stops, starts or gets too little; relays that move; a fuse that opens; a signal that changes |
//!
//! The grading is common practice, no source.

use super::What;
use crate::{finding::Level, vocabulary::Function};

/// What an outcome is judged by, beside what it is.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Circumstances {
    /// What the vehicle needs the device for.
    pub(super) function: Option<Function>,
    /// Everything must be safe to touch in the mode.
    pub(super) touch_safe: bool,
    /// Nothing may enable the drive in the mode.
    pub(super) immobile: bool,
    /// The signal permits the drive after the fault, and did not before.
    pub(super) frees_drive: bool,
    /// The contact that has the fault is of voltage class B.
    pub(super) class_b: bool,
}

/// The level of an outcome.
pub(super) fn level(what: What, at: Circumstances) -> Level {
    let is_needed = matches!(at.function, Some(Function::Safety | Function::Essential));
    match what {
        What::Dangerous | What::JoinsClasses | What::Burns | What::MustOpen => Level::Danger,
        What::CannotOpen if at.class_b => Level::Danger,
        What::Signal if at.immobile && at.frees_drive => Level::Danger,
        What::Live if at.touch_safe => Level::Danger,
        What::Live | What::Overvoltage | What::Lifted | What::Overheats => Level::Error,
        What::Stops | What::Weakens | What::Starts | What::StaysOn if is_needed => Level::Warning,
        What::Unsettled | What::NoTimes => Level::Warning,
        What::Stops | What::Weakens | What::Starts | What::StaysOn | What::CannotOpen => Level::Note,
        What::Releases | What::PullsIn | What::Opens | What::Signal => Level::Note,
    }
}
