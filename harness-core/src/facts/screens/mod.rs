//! Screens of cables: where each is connected, which of them are one screen, and what goes over them by mistake.
//!
//! The idea: an end of a screen leads, by wires, contacts and bars, to grounds, to a pin for screens, to another screen, or to nothing. Screens
//! that meet where no ground is are one; so are those at the pins for screens of one box, which joins them. A chain of screens then has as many
//! grounds as there are places where it meets one.
//!
//! Cost: two passes over the edges where there is a screen; else none.

mod chains;
mod pieces;

pub use chains::{Chain, Fault, Live};
pub use pieces::{Duty, Ground, Screen, ScreenEnd};

use super::Facts;
use crate::{model::PointId, network::EdgeKind};

impl Facts {
    /// The screens of cables that are wired, in the order of the cables.
    ///
    /// Asked by the rules of `screen`.
    #[must_use]
    pub fn screens(&self) -> &[Screen] {
        self.made.screens.get_or_init(|| pieces::screens(self))
    }

    /// The pin or stud that a point of a loom meets; the point itself where it meets none.
    ///
    /// Asked by the rules of `screen` for what to call an end of a screen.
    #[must_use]
    pub fn met_at(&self, point: PointId) -> PointId {
        let met = self.network().around(point).find_map(|(_, edge, other)| match edge.kind {
            EdgeKind::Contact(_) | EdgeKind::Joint(_) => Some(other),
            EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
        });
        met.unwrap_or(point)
    }

    /// Screens that are joined to one, each with what is at fault with it, in the order of their first cables.
    ///
    /// Asked by the rules of `screen`.
    #[must_use]
    pub fn screen_chains(&self) -> &[Chain] {
        self.made.screen_chains.get_or_init(|| chains::chains(self))
    }
}
