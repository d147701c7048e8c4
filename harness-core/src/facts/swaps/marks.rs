//! What is known of points for a while: a table that is cleared in one step, for many small walks over a large network.

use crate::{
    arena::IdVec,
    model::PointId,
    network::{Edge, Network},
};

/// Yes or no for some of the points.
#[derive(Debug)]
pub(super) struct Marks {
    /// When each point was last marked, and how.
    at: IdVec<PointId, (u32, bool)>,
    now: u32,
}

impl Marks {
    pub(super) fn new(network: &Network) -> Self {
        Self { at: IdVec::of((0, false), network.point_count()), now: 1 }
    }

    /// Nothing is marked from here on.
    pub(super) fn forget(&mut self) {
        match self.now.checked_add(1) {
            Some(next) => self.now = next,
            None => {
                self.at = IdVec::of((0, false), self.at.len());
                self.now = 1;
            }
        }
    }

    pub(super) fn get(&self, point: PointId) -> Option<bool> {
        let (when, mark) = self.at[point];
        (when == self.now).then_some(mark)
    }

    pub(super) fn set(&mut self, point: PointId, mark: bool) {
        self.at[point] = (self.now, mark);
    }

    /// The points that are reached from one over the edges that `keep` lets through to the point that
    /// it gets with them, the nearest first, up to the first one that is the goal.
    /// What was marked before is forgotten, and what is reached is marked.
    pub(super) fn walk(
        &mut self,
        network: &Network,
        start: PointId,
        mut goal: impl FnMut(PointId) -> bool,
        mut keep: impl FnMut(&Edge, PointId) -> bool,
    ) -> Vec<PointId> {
        self.forget();
        self.set(start, true);
        let mut order = vec![start];
        if goal(start) {
            return order;
        }
        let mut next = 0;
        while let Some(point) = order.get(next).copied() {
            next += 1;
            for (_, edge, other) in network.around(point) {
                if self.get(other).is_none() && keep(edge, other) {
                    self.set(other, true);
                    order.push(other);
                    if goal(other) {
                        return order;
                    }
                }
            }
        }
        order
    }
}
