//! How far each point is from a goal, so that the shortest path from a point is walked without searching the rest of the network.
//!
//! The path is the one that [`Network::path`] finds, step for step: of points that are equally far from the start only those that are
//! as near to the goal as a shortest path allows can be on it, and all that come before them in a search by breadth are such points
//! too. So a search that goes to no others meets them in the same order.

use crate::{
    arena::IdVec,
    model::PointId,
    network::{Edge, EdgeId, Network, Step},
};
use rustc_hash::FxHashMap;
use std::collections::VecDeque;

/// Steps from each point to the nearest goal; `u32::MAX` where none is reached.
#[derive(Debug)]
pub struct NearSupply {
    steps: IdVec<PointId, u32>,
}

impl NearSupply {
    /// Measures how far the goals are over the edges that `keep` lets through. Cost: a pass over points and edges.
    #[must_use]
    pub fn new(network: &Network, goal: impl Fn(PointId) -> bool, keep: impl Fn(EdgeId, &Edge) -> bool) -> Self {
        let mut steps: IdVec<PointId, u32> = IdVec::of(u32::MAX, network.point_count());
        let mut waiting: VecDeque<PointId> = VecDeque::new();
        for point in steps.ids().filter(|point| goal(*point)) {
            waiting.push_back(point);
        }
        for point in &waiting {
            steps[*point] = 0;
        }
        while let Some(point) = waiting.pop_front() {
            let next = steps[point] + 1;
            for (id, edge, other) in network.around(point) {
                if steps[other] == u32::MAX && keep(id, edge) {
                    steps[other] = next;
                    waiting.push_back(other);
                }
            }
        }
        Self { steps }
    }

    /// A shortest path from `start` to a goal, over the edges that `keep` lets through; `None` where no goal is reached, or where
    /// `keep` lets fewer edges through than when the distances were measured and the path needs one of the others.
    ///
    /// Cost: what lies on all shortest paths.
    #[must_use]
    pub fn path(&self, network: &Network, start: PointId, keep: impl Fn(EdgeId, &Edge) -> bool) -> Option<Vec<Step>> {
        let far = self.steps[start];
        if far == u32::MAX {
            return None;
        }
        if far == 0 {
            return Some(Vec::new());
        }
        let mut came: FxHashMap<PointId, (PointId, EdgeId)> = FxHashMap::default();
        let mut waiting = VecDeque::from([start]);
        while let Some(point) = waiting.pop_front() {
            let nearer = self.steps[point] - 1;
            for (id, edge, other) in network.around(point) {
                if self.steps[other] != nearer || came.contains_key(&other) || !keep(id, edge) {
                    continue;
                }
                came.insert(other, (point, id));
                if nearer == 0 {
                    let mut steps = Vec::new();
                    let mut at = other;
                    while let Some(&(before, edge)) = came.get(&at) {
                        steps.push(Step { edge, point: at });
                        at = before;
                    }
                    steps.reverse();
                    return Some(steps);
                }
                waiting.push_back(other);
            }
        }
        None
    }
}
