//! What is known of one thing of a design, and the tables that a reviewer reads.
//!
//! Owns the gathering of figures that the stages before it have computed: a [`Trace`] for one wire, point or element,
//! [`Loads`] over all fuses and conductors, [`live`] for what can be touched and is live, [`TimeCurrent`] for the picture of one
//! fuse, [`Lists`] for the lists that people keep. Computes nothing anew that a rule
//! computes too, judges nothing that a rule does not, and knows nothing of how the figures are laid out.

mod charge;
mod curve;
mod facts;
mod guards;
mod lists;
mod live;
mod loads;
mod margin;
mod mates;
mod mode_sheet;
mod modes;
mod names;
mod nets;
mod protected;
mod rated;
mod selective;
mod short;
pub mod single_faults;
mod swaps;
mod trace;
mod ways;

pub use crate::{
    facts::swaps::{Counts, Grade},
    standards::{Source, Status},
};
pub use charge::Charge;
pub use curve::{Current, CurrentKind, GatePoint, Stands, TimeCurrent};
pub use facts::Fact;
pub use guards::Guards;
pub use lists::{
    Contact, ContactState, EndPlace, ListedEnd, ListedFuse, ListedJoint, ListedPin, ListedWire, Lists, LoomList, Total, Written,
};
pub(crate) use lists::{Signals, size_as_written};
pub use live::{ChargedPart, Live, LiveContact, LiveMode, LiveQuery, LiveUnmated, OpenEffect, live};
pub use loads::{ConductorLoad, FuseLoad, Loads, Thinnest};
pub use margin::{Against, Margin};
pub use mates::Member;
pub use mode_sheet::{ModeContact, ModeCurrent, ModeSheet, Position, mode_sheets};
pub use modes::{Charging, ModeRow};
pub use names::{Found, Names, Thing};
pub use nets::{WholeNet, nets};
pub use selective::{Selective, selective};
pub use short::{Duty, Outcome, PointShort, Short};
pub use swaps::{Asked, CureRow, FitRow, Swap, Swaps};
pub use trace::{Concern, Fuse, Neighbour, Net, Trace, Tracer, Way, trace};
