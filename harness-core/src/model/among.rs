//! Among which things an unknown name is looked for, and what was gathered of them.

use super::ids::{DeviceId, LoomId};
use crate::{suggest::Candidates, text::Name};
use rustc_hash::FxHashMap;

/// The things among which a name is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Among {
    /// Devices alone.
    Devices,
    /// Devices and looms.
    DevicesAndLooms,
    /// Ports of a device.
    Ports(DeviceId),
    /// Ports and nodes of the device that is being resolved.
    PortsAndNodes(DeviceId),
    /// Ends of a loom.
    Ends(LoomId),
    /// Ends and splices of a loom.
    EndsAndSplices(LoomId),
    /// Cables of the loom that is being resolved.
    Cables(LoomId),
    /// Segments of a loom.
    Segments(LoomId),
}

/// What was gathered so far.
#[derive(Debug, Default)]
pub(super) struct Known {
    pub(super) candidates: FxHashMap<Among, Candidates>,
    pub(super) splices: Option<FxHashMap<LoomId, Vec<Name>>>,
    pub(super) segments: Option<FxHashMap<LoomId, Vec<Name>>>,
}
