//! What the elements of a group are to each other, and a group that something names until all elements are there.

use super::{element::ElementKind, items::OpenedBy, owner::Owner};
use crate::{format::values::List, text::Text};

/// What the elements of a group are to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Grouping {
    /// Never closed together.
    Exclusive,
    /// The poles of one residual-current device.
    Residual,
    /// Contacts that must be open when something else is.
    Opened(OpenedBy),
}

impl Grouping {
    /// What a group of one element is, and what to write.
    pub(super) fn of_one(self) -> Option<(&'static str, &'static str)> {
        Some(match self {
            Self::Opened(_) => return None,
            Self::Exclusive => (
                "one element alone excludes nothing",
                "name all elements of which only one may be closed, as in `exclusive: [up, down]`",
            ),
            Self::Residual => (
                "a residual-current device compares two poles or more",
                "name all its poles, the neutral with them, as in `residual: [line, neutral]`",
            ),
        })
    }

    /// What an element is that can't be in the group, what to say of it, and what to write; `None` for one that can.
    pub(super) fn refuses(self, kind: &ElementKind) -> Option<(&'static str, &'static str, &'static str)> {
        let (cannot, help) = match self {
            Self::Exclusive => ("cannot be exclusive", "name switches, relays, contactors and disconnects here"),
            Self::Residual => (
                "cannot be a pole of a residual-current device",
                "name the switches, fuses, contacts or links that are its poles here",
            ),
            Self::Opened(_) => ("cannot be opened", "name contactors, relays, switches and disconnects here"),
        };
        let why = match kind {
            ElementKind::Switch { throw: None, .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } => return None,
            ElementKind::Fuse { .. } | ElementKind::Link { .. } if self == Self::Residual => return None,
            ElementKind::Switch { throw: Some(_), .. } if matches!(self, Self::Opened(_)) => return None,
            ElementKind::Switch { throw: Some(_), .. } => "a selector, which is in one position at a time already",
            ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => {
                "not a contact"
            }
            ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Link { .. } => "not a contact",
            ElementKind::Converter { .. } | ElementKind::Interlock { .. } => "not a contact",
        };
        Some((why, cannot, help))
    }
}

/// A group that something names.
#[derive(Debug)]
pub(super) struct Grouped {
    /// Whose elements may be named without their owner.
    pub(super) owner: Option<Owner>,
    pub(super) grouping: Grouping,
    pub(super) names: List<Text>,
}
