//! What is at a point or in a device: short questions that every later stage asks.

use super::{
    Model,
    ids::{DeviceId, PointId, PointRange, PortId},
    items::{Device, Pin, PointKind},
    kinds::Housing,
};
use crate::{text::Name, vocabulary::Role};

impl Model {
    /// The points of all ports of a device, in the order written; its inner nodes are not among them.
    pub fn points_of(&self, device: &Device) -> impl Iterator<Item = PointId> {
        device.ports.iter().flat_map(|port| self[port].points.iter())
    }

    /// What the pin or stud at `point` needs; `None` where nothing is said of it, and at all other points.
    #[must_use]
    pub fn pin_at(&self, point: PointId) -> Option<&Pin> {
        self[point].pin.map(|pin| &self[pin])
    }

    /// Whether a point is worth measuring at, as the design says.
    #[must_use]
    pub fn is_test_point(&self, point: PointId) -> bool {
        self.test_points.binary_search(&point).is_ok()
    }

    /// What the pin or stud at `point` does on its net, where that is said.
    #[must_use]
    pub fn role_at(&self, point: PointId) -> Option<Role> {
        self.pin_at(point)?.role.map(|role| role.value)
    }

    /// The device that a pin, stud or inner node belongs to; `None` for the points of a loom.
    #[must_use]
    pub fn device_at(&self, point: PointId) -> Option<DeviceId> {
        match self[point].kind {
            PointKind::Pin(port) | PointKind::Stud(port) => Some(self[port].device),
            PointKind::Node(device) => Some(device),
            PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
        }
    }

    /// The port that a pin or stud belongs to; `None` for inner nodes and the points of a loom.
    #[must_use]
    pub fn port_at(&self, point: PointId) -> Option<PortId> {
        match self[point].kind {
            PointKind::Pin(port) | PointKind::Stud(port) => Some(port),
            PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
        }
    }

    /// The connector of a device that a pin is in; `None` for studs, which are ports of their own, and all other points.
    #[must_use]
    pub fn plug_at(&self, point: PointId) -> Option<PortId> {
        match self[point].kind {
            PointKind::Pin(port) => Some(port),
            PointKind::Stud(_) | PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
        }
    }

    /// Whether what holds the point, a device or a loom, is part of this build.
    #[must_use]
    pub fn is_fitted(&self, point: PointId) -> bool {
        match self[point].kind {
            PointKind::Pin(port) | PointKind::Stud(port) => self[self[port].device].fitted,
            PointKind::Node(device) => self[device].fitted,
            PointKind::Cavity(end) | PointKind::Ring(end) => self[self[end].loom].fitted,
            PointKind::Splice(splice) => self[self[splice].loom].fitted,
        }
    }

    /// The point of `range` labelled `label`.
    #[must_use]
    pub fn position_of(&self, range: PointRange, label: Name) -> Option<PointId> {
        let housing = range.first().and_then(|first| self.point_housing(self[first].kind));
        if let Some(housing) = housing.filter(|housing| !housing.index.is_empty()) {
            let found = housing.index.binary_search_by_key(&label, |(known, _)| *known).ok()?;
            return housing.index.get(found).and_then(|(_, position)| range.get(*position as usize));
        }
        range.iter().find(|point| self[*point].label == label)
    }

    /// The label of the position that a cavity of `end` meets on its mate: its own, unless `pins` of one of the two says otherwise.
    #[must_use]
    pub fn met_label(&self, end: &super::End, partner: Option<&super::End>, cavity: PointId) -> Name {
        let own = self[cavity].label;
        let mapped = end.pins.iter().find(|(from, ..)| *from == cavity).map(|(_, to, _)| *to);
        let back = || partner?.pins.iter().find(|(_, to, _)| *to == own).map(|(from, ..)| self[*from].label);
        mapped.or_else(back).unwrap_or(own)
    }

    /// The housing that a point's connector has, where it is named.
    #[must_use]
    pub fn point_housing(&self, kind: PointKind) -> Option<&Housing> {
        let housing = match kind {
            PointKind::Pin(port) => self[port].housing(),
            PointKind::Cavity(end) => self[end].housing(),
            PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
        };
        housing.map(|housing| &self[housing])
    }
}
