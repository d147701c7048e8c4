//! What can be touched with everything mated and closed, and how each connector can be opened.
//!
//! Where the design says nothing, a stud, screw or tab counts as open unless a cover reaches it, a connector as one that opens without a tool, a
//! cover too, and a contact that nothing mates as open; the answer says that this was assumed.
//!
//! Cost: one pass over ports and ends.

use super::{Facts, openings::Opening};
use crate::{
    model::{DeviceId, EndKind, Mate, PointId, PointKind, PortId, PortKind},
    vocabulary::Access,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Points that can be touched as the design is, in the order of the ports and then of the ends.
    ///
    /// Asked by `domain/live-when-open` and `harness live`.
    #[must_use]
    pub fn touchable(&self) -> &[Touchable] {
        self.made.touchable.get_or_init(|| touchable(self))
    }

    /// How a port can be reached or opened. Cost: none.
    #[must_use]
    pub fn access(&self, port: PortId) -> PortAccess {
        let port = &self.model()[port];
        if let Some(access) = port.access {
            return PortAccess { access: access.value, is_assumed: false };
        }
        let usual = match port.kind {
            PortKind::Connector(_) => Access::WithoutTool,
            PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => Access::Open,
        };
        PortAccess { access: usual, is_assumed: true }
    }

    /// How a connector or cover is opened. Cost: none.
    #[must_use]
    pub fn opens_by(&self, opening: Opening) -> PortAccess {
        let model = self.model();
        match opening {
            Opening::Connector(end) => match model[end].mate {
                Some(Mate::Port(port)) => self.access(port),
                Some(Mate::End(_)) | None => PortAccess { access: Access::WithoutTool, is_assumed: true },
            },
            Opening::Cover(cover) => match model[cover].access {
                Some(access) => PortAccess { access: access.value, is_assumed: false },
                None => PortAccess { access: Access::WithoutTool, is_assumed: true },
            },
            Opening::Element(_) | Opening::Wire(_) => PortAccess { access: Access::Sealed, is_assumed: false },
        }
    }
}

/// How a port can be reached, and whether the design says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PortAccess {
    /// How.
    pub access: Access,
    /// Nothing says so.
    pub is_assumed: bool,
}

/// A point that can be touched.
#[derive(Debug, Clone, Copy)]
pub struct Touchable {
    /// The point.
    pub point: PointId,
    /// Nothing says so.
    pub is_assumed: bool,
}

/// The device of a pin, stud or inner point.
pub(super) fn device_at(facts: &Facts, point: PointId) -> Option<DeviceId> {
    let model = facts.model();
    match model[point].kind {
        PointKind::Pin(port) | PointKind::Stud(port) => Some(model[port].device),
        PointKind::Node(device) => Some(device),
        PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
    }
}

fn touchable(facts: &Facts) -> Vec<Touchable> {
    let (model, network) = (facts.model(), facts.network());
    let mated: FxHashSet<Mate> = model.ends().filter_map(|(_, end)| end.mate).collect();
    let covered: FxHashSet<PointId> =
        model.covers().flat_map(|(_, cover)| cover.reaches.iter().map(|(point, _)| *point)).collect();
    let mut found = Vec::new();
    let mut add = |point: PointId, is_assumed: bool| {
        if model.is_fitted(point) && network.around(point).next().is_some() {
            found.push(Touchable { point, is_assumed });
        }
    };
    for (id, port) in model.ports() {
        let PortAccess { access, is_assumed } = facts.access(id);
        let is_open = match port.kind {
            PortKind::Stud(_) | PortKind::Landing(_) => {
                access == Access::Open && !(is_assumed && port.points.iter().any(|point| covered.contains(&point)))
            }
            PortKind::Body => false,
            // What nothing mates is open, unless it is sealed.
            PortKind::Connector(_) => access == Access::Open || (access != Access::Sealed && !mated.contains(&Mate::Port(id))),
        };
        if is_open {
            port.points.iter().for_each(|point| add(point, is_assumed));
        }
    }
    for (id, end) in model.ends() {
        let is_loose = end.mate.is_none() && !mated.contains(&Mate::End(id));
        let is_conductor = match end.kind {
            EndKind::Connector(_) | EndKind::Ring(_) | EndKind::Bare => true,
        };
        if is_loose && is_conductor {
            end.points.iter().for_each(|point| add(point, true));
        }
    }
    found
}
