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

/// Steps from each point to the nearest goal, and which edges lead nearer.
#[derive(Debug)]
pub(super) struct NearSupply {
    /// `u32::MAX` where no goal is reached.
    steps: IdVec<PointId, u32>,
    /// Per point: where its edges begin in `nearer`, and how many there are.
    ranges: IdVec<PointId, (usize, usize)>,
    /// Edges that lead one step nearer, in the order in which the network has them around their point.
    nearer: Vec<(EdgeId, PointId)>,
}

impl NearSupply {
    /// Measures how far the goals are over the edges that `keep` lets through. Cost: a few passes over points and edges.
    pub(super) fn new(network: &Network, goal: impl Fn(PointId) -> bool, keep: impl Fn(EdgeId, &Edge) -> bool) -> Self {
        let mut steps: IdVec<PointId, u32> = IdVec::of(u32::MAX, network.point_count());
        let mut waiting: VecDeque<PointId> = steps.ids().filter(|point| goal(*point)).collect();
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
        let mut nearer = Vec::new();
        let mut ranges = IdVec::of((0, 0), network.point_count());
        for (point, far) in steps.iter().filter(|(_, far)| **far != u32::MAX && **far > 0) {
            let first = nearer.len();
            let around = network.around(point).filter(|(id, edge, other)| steps[*other] == far - 1 && keep(*id, edge));
            nearer.extend(around.map(|(id, _, other)| (id, other)));
            ranges[point] = (first, nearer.len() - first);
        }
        Self { steps, ranges, nearer }
    }

    /// The edges at a point that lead one step nearer.
    fn nearer(&self, point: PointId) -> impl Iterator<Item = (EdgeId, PointId)> {
        let (first, count) = self.ranges[point];
        self.nearer.iter().skip(first).take(count).copied()
    }

    /// A shortest path from `start` to a goal; `None` where no goal is reached, empty where `start` is one.
    ///
    /// Cost: what is on all shortest paths.
    pub(super) fn path(&self, start: PointId) -> Option<Vec<Step>> {
        (self.steps[start] != u32::MAX).then_some(())?;
        self.search(start, |point, visit| self.nearer(point).for_each(|(id, other)| visit(id, other)))
    }

    /// A shortest path from `start` to a goal that does not pass `without`, an edge at `start`; `keep` is the one that the distances
    /// were measured with.
    ///
    /// Cost: what is on all shortest paths, and what is farther from a goal than `start` where those pass `without`.
    pub(super) fn path_without(
        &self,
        network: &Network,
        start: PointId,
        without: EdgeId,
        keep: impl Fn(EdgeId, &Edge) -> bool,
    ) -> Option<Vec<Step>> {
        let far = self.steps[start];
        (far != u32::MAX).then_some(())?;
        let needs_it = self.nearer(start).all(|(id, _)| id == without);
        self.search(start, |point, visit| {
            // No shortest path from a point that is not a farther than the start comes back to it, and so to the edge.
            if self.steps[point] < far || (self.steps[point] == far && (point != start || !needs_it)) {
                self.nearer(point).filter(|(id, _)| *id != without).for_each(|(id, other)| visit(id, other));
            } else {
                for (id, edge, other) in network.around(point).filter(|(id, ..)| *id != without) {
                    if keep(id, edge) {
                        visit(id, other);
                    }
                }
            }
        })
    }

    /// A search by breadth; `around` shows the edges of a point that are worth following.
    fn search(&self, start: PointId, around: impl Fn(PointId, &mut dyn FnMut(EdgeId, PointId))) -> Option<Vec<Step>> {
        if self.steps[start] == 0 {
            return Some(Vec::new());
        }
        let mut came: FxHashMap<PointId, (PointId, EdgeId)> = FxHashMap::default();
        let mut waiting = VecDeque::from([start]);
        while let Some(point) = waiting.pop_front() {
            let mut found = None;
            around(point, &mut |id, other| {
                if other != start && found.is_none() && !came.contains_key(&other) {
                    came.insert(other, (point, id));
                    waiting.push_back(other);
                    found = (self.steps[other] == 0).then_some(other);
                }
            });
            if let Some(mut at) = found {
                let mut steps = Vec::new();
                while let Some(&(before, edge)) = came.get(&at) {
                    steps.push(Step { edge, point: at });
                    at = before;
                }
                steps.reverse();
                return Some(steps);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::NearSupply;
    use crate::{
        model::{PointId, WireId},
        network::{Edge, EdgeId, EdgeKind, EdgeRole, MetalKind, Network},
    };
    use petgraph::graph::NodeIndex;

    /// Points joined by wires, without a design behind them.
    fn network(points: usize, joins: &[(usize, usize)]) -> Network {
        let mut network = Network::bare();
        for _ in 0..points {
            network.graph.add_node(());
        }
        for (number, (a, b)) in joins.iter().enumerate() {
            let (kind, role) = (EdgeKind::Wire(WireId::from_index(number)), EdgeRole::Metal(MetalKind::Wire));
            let edge = Edge { a: PointId::from_index(*a), b: PointId::from_index(*b), kind, role };
            network.graph.add_edge(NodeIndex::new(*a), NodeIndex::new(*b), edge);
        }
        network
    }

    #[test]
    fn paths_are_those_of_a_plain_search() {
        let mut seed = 7_u64;
        let mut below = |limit: usize| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as usize % limit
        };
        for _ in 0..400 {
            let points = 2 + below(9);
            let joins: Vec<(usize, usize)> = (0..below(18)).map(|_| (below(points), below(points))).collect();
            let network = network(points, &joins);
            let closed: Vec<bool> = joins.iter().map(|_| below(5) > 0).collect();
            let goals: Vec<bool> = (0..points).map(|_| below(4) == 0).collect();
            let goal = |point: PointId| goals[point.index()];
            let keep = |id: EdgeId, _: &Edge| closed[id.index()];
            let near = NearSupply::new(&network, goal, keep);
            for start in (0..points).map(PointId::from_index) {
                assert_eq!(near.path(start), network.path(start, goal, keep), "{joins:?} from {start:?}");
                for without in network.around(start).map(|(id, ..)| id) {
                    let plain = network.path(start, goal, |id, edge| id != without && keep(id, edge));
                    let found = near.path_without(&network, start, without, keep);
                    assert_eq!(found, plain, "{joins:?} from {start:?} without {without:?}");
                }
            }
        }
    }
}
