//! The kinds of single faults and of what follows from them, and their words.

use crate::electrical::single_faults::Fault;

/// The kinds of single faults, in the order in which they are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// A conductor is broken.
    Open,
    /// A fuse has blown.
    Blown,
    /// Two neighbouring contacts are bridged.
    Bridged,
    /// A contact or joint has more resistance.
    Raised,
    /// The contact of a relay is welded.
    Welded,
    /// The contact of a relay does not close.
    Stuck,
}

impl FaultKind {
    /// All kinds, in order.
    pub const ALL: [Self; 6] = [Self::Open, Self::Blown, Self::Bridged, Self::Raised, Self::Welded, Self::Stuck];

    pub(super) fn of(fault: Fault) -> Self {
        match fault {
            Fault::Open(_) => Self::Open,
            Fault::Blown(_) => Self::Blown,
            Fault::Bridged(..) => Self::Bridged,
            Fault::Raised(_) => Self::Raised,
            Fault::Welded(_) => Self::Welded,
            Fault::Stuck(_) => Self::Stuck,
        }
    }

    /// The kind in one word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Blown => "blown",
            Self::Bridged => "bridged",
            Self::Raised => "raised",
            Self::Welded => "welded",
            Self::Stuck => "stuck",
        }
    }

    /// What has such a fault, in the singular.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Open => "conductor open",
            Self::Blown => "fuse blown",
            Self::Bridged => "contacts bridged",
            Self::Raised => "contact raised",
            Self::Welded => "relay welded",
            Self::Stuck => "relay stuck open",
        }
    }
}

/// What follows from a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// Points of class A are above the limit of their class.
    Dangerous,
    /// Voltage classes A and B are joined.
    JoinsClasses,
    /// A conductor is overheated before a fuse opens, or none opens.
    Burns,
    /// A contact that must be open in this mode is closed.
    MustOpen,
    /// A contact of voltage class B cannot open.
    CannotOpen,
    /// Points of class B become live.
    Live,
    /// A load gets more than its domain may have.
    Overvoltage,
    /// A net of class A is beyond the voltage of its domain.
    Lifted,
    /// A contact overheats.
    Overheats,
    /// A signal permits or forbids something that it did not.
    Signal,
    /// A load loses its supply.
    Stops,
    /// A load gets too little.
    Weakens,
    /// A load starts.
    Starts,
    /// A load cannot be switched off.
    StaysOn,
    /// A relay lets go.
    Releases,
    /// A relay pulls in.
    PullsIn,
    /// A fuse opens.
    Opens,
    /// A fuse of which no times are known carries more than its rating.
    NoTimes,
    /// There is no steady state.
    Unsettled,
}

impl What {
    /// The word of this outcome, as tables and JSON give it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Dangerous => "above class A",
            Self::JoinsClasses => "joins classes",
            Self::Burns => "burns",
            Self::MustOpen => "must be open",
            Self::CannotOpen => "cannot open",
            Self::Live => "becomes live",
            Self::Overvoltage => "overvoltage",
            Self::Lifted => "lifted",
            Self::Overheats => "overheats",
            Self::Signal => "signal",
            Self::Stops => "stops",
            Self::Weakens => "too little",
            Self::Starts => "starts",
            Self::StaysOn => "stays on",
            Self::Releases => "releases",
            Self::PullsIn => "pulls in",
            Self::Opens => "opens",
            Self::NoTimes => "no times",
            Self::Unsettled => "not settled",
        }
    }
}
