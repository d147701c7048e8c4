//! The keys with which connectors are compared: those that are written, none, or those of a cure that is tried.

use super::halves::{Half, PlugId, keys_join};
use crate::text::Name;
use rustc_hash::FxHashMap;

/// A key: one that a housing of the family has, or a letter more than those.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Code {
    /// A key that is written.
    Known(Name),
    /// A letter that no housing of the design has, by its number.
    More(u32),
}

/// Which keys count.
#[derive(Debug, Clone, Default)]
pub enum Keys {
    /// Those that are written.
    #[default]
    AsWritten,
    /// None: all of one fit join.
    Ignored,
    /// Those that are written, but for the connectors named here.
    Changed(FxHashMap<PlugId, Code>),
}

impl Keys {
    /// The key of a half.
    pub(super) fn of(&self, plug: PlugId, half: &Half) -> Option<Code> {
        match self {
            Self::AsWritten => half.key.map(Code::Known),
            Self::Ignored => None,
            Self::Changed(changed) => changed.get(&plug).copied().or(half.key.map(Code::Known)),
        }
    }

    /// Whether a half with sockets joins one with pins.
    pub(super) fn join(&self, socket: PlugId, own: &Half, pin: PlugId, other: &Half) -> bool {
        match self {
            Self::AsWritten => keys_join(own.key, other.key),
            Self::Ignored => true,
            Self::Changed(_) => {
                let (own, other) = (self.of(socket, own), self.of(pin, other));
                own.is_none() || other.is_none() || own == other
            }
        }
    }
}
