//! What holds an element or a selector.

use super::ids::{DeviceId, LoomId};

/// What holds an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Owner {
    /// A device.
    Device(DeviceId),
    /// A loom.
    Loom(LoomId),
}

impl Owner {
    /// The device, where it is one.
    #[must_use]
    pub const fn device(self) -> Option<DeviceId> {
        match self {
            Self::Device(device) => Some(device),
            Self::Loom(_) => None,
        }
    }
}
