//! Typed ids: cheap to copy, and no wire can be taken for a device.

use crate::arena::{IdRange, ids};
use std::ops::Deref;

ids! {
    /// A voltage domain.
    DomainId;
    /// A zone.
    ZoneId;
    /// A mode.
    ModeId;
    /// A data bus.
    NetworkId;
    /// A lid or cover of a device.
    CoverId;
    /// A housing kind.
    HousingId;
    /// A terminal kind.
    TerminalId;
    /// A kind of point that takes a bare wire.
    LandingKindId;
    /// A conductor kind.
    ConductorId;
    /// A cable kind.
    CableKindId;
    /// A fuse kind.
    FuseKindId;
    /// A device.
    DeviceId;
    /// A port of a device.
    PortId;
    /// A loom.
    LoomId;
    /// An end of a loom.
    EndId;
    /// A splice.
    SpliceId;
    /// A wire.
    WireId;
    /// A cable of a loom.
    CableId;
    /// A segment of a route.
    SegmentId;
    /// What a pin or stud of a device needs.
    PinId;
    /// An element inside a device or in a loom.
    ElementId;
    /// A selector.
    SelectorId;
    /// A point that a probe can touch: pin, cavity, stud, ring, splice or a device's inner node.
    PointId;
}

/// The points of a connector, in the order of its labels, or the one of a stud or ring.
pub type PointRange = IdRange<PointId>;

/// The ports of a device, in the order written.
pub type PortRange = IdRange<PortId>;

/// A few points, such as those of an element; up to five are stored in place, so that a large design is not made of crumbs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointList {
    few: [PointId; 5],
    count: u8,
    many: Box<[PointId]>,
}

impl FromIterator<PointId> for PointList {
    fn from_iter<I: IntoIterator<Item = PointId>>(points: I) -> Self {
        let points: Vec<PointId> = points.into_iter().collect();
        let mut list = Self { few: [PointId(u32::MAX); 5], count: 0, many: Box::default() };
        match list.few.get_mut(..points.len()) {
            Some(place) => {
                place.copy_from_slice(&points);
                list.count = points.len() as u8;
            }
            None => list.many = points.into_boxed_slice(),
        }
        list
    }
}

impl PointList {
    /// The points of a thing whose kind says that it has so many; reading takes no other number.
    #[track_caller]
    #[expect(
        clippy::indexing_slicing,
        reason = "a thing with another number of points is a fault of this library and must be loud"
    )]
    pub(crate) fn exactly<const COUNT: usize>(&self) -> [PointId; COUNT] {
        assert_eq!(self.len(), COUNT, "points of a thing, and how many its kind has");
        std::array::from_fn(|at| self[at])
    }
}

impl Deref for PointList {
    type Target = [PointId];

    fn deref(&self) -> &[PointId] {
        if self.many.is_empty() { self.few.get(..usize::from(self.count)).unwrap_or_default() } else { &self.many }
    }
}

/// A set of modes; a design has at most 64.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ModeSet(u64);

impl ModeSet {
    /// Every mode.
    pub const ALL: Self = Self(u64::MAX);
    /// No mode.
    pub const NONE: Self = Self(0);

    /// Whether `mode` is in the set.
    #[must_use]
    pub fn has(self, mode: ModeId) -> bool {
        mode.0 < 64 && self.0 & (1 << mode.0) != 0
    }

    /// Whether a mode is in both sets.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.and(other) != Self::NONE
    }

    /// The modes of both sets.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// The modes of either set.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Adds `mode`.
    pub fn add(&mut self, mode: ModeId) {
        if mode.0 < 64 {
            self.0 |= 1 << mode.0;
        }
    }
}
