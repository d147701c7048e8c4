//! The strip: nets are clipped to it one after the other, and each is held against all that are on it before it is clipped too.

use super::{bare::Spot, rig::Rig};
use crate::arena::IdVec;

/// One place of each net, in the order in which they come to the strip.
#[derive(Debug, PartialEq)]
pub(super) struct Strip {
    order: Vec<Spot>,
    /// The number of each such place in this order.
    number: IdVec<Spot, Option<usize>>,
}

impl Strip {
    /// `count` is the number of all places of the loom.
    pub(super) fn new(order: Vec<Spot>, count: usize) -> Self {
        let mut number = IdVec::of(None, count);
        for (at, spot) in order.iter().enumerate() {
            number[*spot] = Some(at);
        }
        Self { order, number }
    }

    /// The places in their order.
    pub(super) fn order(&self) -> &[Spot] {
        &self.order
    }

    /// The places that are on the strip when one comes to it, those left out to which something joins it; none for a place that never does.
    pub(super) fn before<'s>(&'s self, rig: &'s Rig, from: Spot) -> impl Iterator<Item = Spot> + 's {
        let before = self.number[from].and_then(|number| self.order.get(..number)).unwrap_or_default();
        before.iter().copied().filter(move |other| !rig.hang_together(from, *other))
    }

    /// Whether a place is among these.
    pub(super) fn is_before(&self, rig: &Rig, from: Spot, other: Spot) -> bool {
        self.number[other].is_some() && self.number[other] < self.number[from] && !rig.hang_together(from, other)
    }
}
