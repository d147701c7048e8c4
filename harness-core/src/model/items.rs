//! The things of a design, resolved. Optional facts stay optional: a check that lacks one says so.

mod device;
mod loom;
mod point;
mod safety;
mod setting;

pub use device::{Device, Fixing, Landing, Pin, Port, PortKind, Thread};
pub use loom::{Cable, End, EndKind, Loom, Mate, Segment, Splice, Wire};
pub use point::{Point, PointKind};
pub use safety::{Cover, Guard, InletLock, Isolation, IsolationMonitor, Network, OpenedBy, Opener, Opening};
pub use setting::{Bench, Domain, Mode, Policy, Waiver, Zone};
