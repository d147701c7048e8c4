//! What joins two points.

use super::role::EdgeRole;
use crate::arena::ids;
use crate::model::{CableId, DeviceId, ElementId, EndId, PointId, WireId};

ids! {
    /// An edge of the network, by the order in which it was made.
    EdgeId;
}

/// What an edge is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum EdgeKind {
    /// A wire or a core.
    Wire(WireId),
    /// The screen of a cable.
    Screen(CableId),
    /// A mated contact of a loom end.
    Contact(EndId),
    /// A ring on its stud, or bare wire ends at their point.
    Joint(EndId),
    /// The metal of the chassis, or that of a body on what it is bolted to.
    Chassis(DeviceId),
    /// An element, or a part of it; the role says which.
    Element(ElementId),
}

/// An edge: two points and what joins them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Edge {
    /// One point; current that flows from here to `b` is positive.
    pub a: PointId,
    /// The other point.
    pub b: PointId,
    /// What joins them.
    pub kind: EdgeKind,
    /// What it is to a current.
    pub role: EdgeRole,
}

impl Edge {
    /// Whether the edge is plain metal: wire, screen, contact, joint, bar or chassis.
    #[must_use]
    pub fn is_metal(&self) -> bool {
        self.role.is_metal()
    }

    /// The wire, if the edge is one.
    #[must_use]
    pub fn wire(&self) -> Option<WireId> {
        match self.kind {
            EdgeKind::Wire(wire) => Some(wire),
            EdgeKind::Screen(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
        }
    }

    /// The element, if the edge is one or a part of one.
    #[must_use]
    pub fn element(&self) -> Option<ElementId> {
        match self.kind {
            EdgeKind::Element(element) => Some(element),
            EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) => None,
        }
    }

    /// The point at the other side of `point`.
    #[must_use]
    pub fn other(&self, point: PointId) -> PointId {
        if point == self.a { self.b } else { self.a }
    }
}
