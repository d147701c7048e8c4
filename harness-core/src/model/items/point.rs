//! Points that a probe can touch.

use crate::{
    model::ids::{DeviceId, EndId, PinId, PortId, SpliceId},
    text::{Name, Span},
};

/// What a point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointKind {
    /// A pin of a device's connector.
    Pin(PortId),
    /// The one point of a port that is not a connector: a stud, screw, tab, strip or ferrule clamp; the port says which.
    Stud(PortId),
    /// A point inside a device.
    Node(DeviceId),
    /// A cavity of a loom's connector.
    Cavity(EndId),
    /// The one point of a loom end that is not a connector: a ring or a bare end; the end says which.
    Ring(EndId),
    /// A splice.
    Splice(SpliceId),
}

/// A point that a probe can touch.
#[derive(Debug, Clone)]
pub struct Point {
    /// What it is.
    pub kind: PointKind,
    /// Its label in its port, end, device or loom.
    pub label: Name,
    /// Where it is written: the pin's key, else its housing, port or end.
    pub span: Span,
    /// What it needs, for pins and studs of which something is said.
    pub pin: Option<PinId>,
}
