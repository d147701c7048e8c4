//! What things are called in messages: the one place where ids become text again.

use super::{
    Model,
    ids::{CableId, CoverId, DeviceId, ElementId, EndId, LoomId, ModeId, PointId, PortId, SegmentId, WireId},
    items::{Mate, PointKind},
    owner::Owner,
};
use crate::text::Name;

impl Model {
    /// The text of `name`.
    #[must_use]
    pub fn text(&self, name: Name) -> &str {
        self.names.text(name)
    }

    /// `coolant-pump`
    #[must_use]
    pub fn device_name(&self, device: DeviceId) -> &str {
        self.text(self[device].name)
    }

    /// `inverter.lid`
    #[must_use]
    pub fn cover_name(&self, cover: CoverId) -> String {
        let cover = &self[cover];
        format!("{}.{}", self.device_name(cover.device), self.text(cover.name))
    }

    /// `front`
    #[must_use]
    pub fn loom_name(&self, loom: LoomId) -> &str {
        self.text(self[loom].name)
    }

    /// `coolant-pump.J1`
    #[must_use]
    pub fn port_name(&self, port: PortId) -> String {
        let port = &self[port];
        format!("{}.{}", self.device_name(port.device), self.text(port.name))
    }

    /// `front.P1`
    #[must_use]
    pub fn end_name(&self, end: EndId) -> String {
        let end = &self[end];
        format!("{}.{}", self.loom_name(end.loom), self.text(end.name))
    }

    /// `front.P1` or `coolant-pump.J1`
    #[must_use]
    pub fn mate_name(&self, mate: Mate) -> String {
        match mate {
            Mate::Port(port) => self.port_name(port),
            Mate::End(end) => self.end_name(end),
        }
    }

    /// `front.W1`
    #[must_use]
    pub fn cable_name(&self, cable: CableId) -> String {
        let cable = &self[cable];
        format!("{}.{}", self.loom_name(cable.loom), self.text(cable.name))
    }

    /// `front.trunk`
    #[must_use]
    pub fn segment_name(&self, segment: SegmentId) -> String {
        let item = &self[segment];
        format!("{}.{}", self.loom_name(item.loom), self.text(item.name))
    }

    /// `front.101`
    #[must_use]
    pub fn wire_name(&self, wire: WireId) -> String {
        let wire = &self[wire];
        format!("{}.{}", self.loom_name(wire.loom), self.text(wire.name))
    }

    /// `fusebox.F4`
    #[must_use]
    pub fn element_name(&self, element: ElementId) -> String {
        let element = &self[element];
        format!("{}.{}", self.owner_name(element.owner), self.text(element.name))
    }

    /// The device or loom that holds an element.
    #[must_use]
    pub fn owner_name(&self, owner: Owner) -> &str {
        match owner {
            Owner::Device(device) => self.device_name(device),
            Owner::Loom(loom) => self.loom_name(loom),
        }
    }

    /// `front.P1.3`, `coolant-pump.J1.2`, `aux-battery.POS`, `front.S1`
    #[must_use]
    pub fn point_name(&self, point: PointId) -> String {
        let item = &self[point];
        let label = self.text(item.label);
        match item.kind {
            PointKind::Pin(port) => format!("{}.{label}", self.port_name(port)),
            PointKind::Stud(port) => self.port_name(port),
            PointKind::Node(device) => format!("{}.{label}", self.device_name(device)),
            PointKind::Cavity(end) => format!("{}.{label}", self.end_name(end)),
            PointKind::Ring(end) => self.end_name(end),
            PointKind::Splice(splice) => format!("{}.{label}", self.loom_name(self[splice].loom)),
        }
    }

    /// The name of a mode; `always` for the one mode of a design that names none.
    #[must_use]
    pub fn mode_name(&self, mode: ModeId) -> &str {
        self[mode].name.map_or("always", |name| self.text(name))
    }
}
