//! The bridges of the grounds: conductors round which no second way leads.

use super::Grounds;
use crate::{arena::IdVec, model::PointId, network::EdgeId};

/// The conductors and fuses of the grounds as a forest, in which every edge that is no bridge is already joined.
pub(super) struct Forest {
    parent: IdVec<PointId, Option<(PointId, EdgeId)>>,
    depth: IdVec<PointId, u32>,
    /// The first point of the tree that holds a point; the point itself where it is of no ground.
    tree: IdVec<PointId, PointId>,
    /// A point above it on the same joined or marked run, or the point itself at its top.
    above: IdVec<PointId, PointId>,
}

/// The place in the order of a walk of a point that the walk has not come to.
const UNSEEN: u32 = u32::MAX;

/// The order in which a depth-first walk comes to the points, and the earliest that each one or what is below it leads back to.
struct Order {
    order: IdVec<PointId, u32>,
    low: IdVec<PointId, u32>,
    next: u32,
}

impl Order {
    fn enter(&mut self, point: PointId) {
        self.order[point] = self.next;
        self.low[point] = self.next;
        self.next += 1;
    }

    fn has(&self, point: PointId) -> bool {
        self.order[point] != UNSEEN
    }
}

impl Forest {
    /// Walks without recursion; parallel conductors are told apart by their edge.
    pub(super) fn over(grounds: &Grounds<'_>) -> Self {
        let network = grounds.network;
        let count = network.point_count();
        let itself = || (0..count).map(PointId::from_index).collect();
        let mut forest = Self { parent: IdVec::of(None, count), depth: IdVec::of(0, count), tree: itself(), above: itself() };
        let mut seen = Order { order: IdVec::of(UNSEEN, count), low: IdVec::of(UNSEEN, count), next: 0 };
        for start in (0..count).map(PointId::from_index).filter(|point| grounds.has(*point)) {
            if seen.has(start) {
                continue;
            }
            let mut stack = vec![(start, network.around(start))];
            seen.enter(start);
            while let Some((point, edges)) = stack.last_mut() {
                let point = *point;
                let own = forest.parent[point];
                if let Some((id, edge, other)) = edges.next() {
                    if !edge.role.conducts_when_closed() || !grounds.has(other) || own.is_some_and(|(_, edge)| edge == id) {
                        continue;
                    }
                    if seen.has(other) {
                        seen.low[point] = seen.low[point].min(seen.order[other]);
                    } else {
                        forest.parent[other] = Some((point, id));
                        forest.depth[other] = forest.depth[point] + 1;
                        forest.tree[other] = start;
                        seen.enter(other);
                        stack.push((other, network.around(other)));
                    }
                    continue;
                }
                stack.pop();
                if let Some((parent, _)) = own {
                    // Something at or below the point reaches above it: a second way leads round the edge to its parent.
                    if seen.low[point] < seen.order[point] {
                        forest.above[point] = parent;
                    }
                    seen.low[parent] = seen.low[parent].min(seen.low[point]);
                }
            }
        }
        forest
    }

    /// The first point of the tree that holds `point`.
    pub(super) fn tree(&self, point: PointId) -> PointId {
        self.tree[point]
    }

    fn top(&mut self, mut point: PointId) -> PointId {
        loop {
            let above = self.above[point];
            if above == point {
                return point;
            }
            // Halving the way as it is walked keeps ways short.
            self.above[point] = self.above[above];
            point = above;
        }
    }

    /// Calls `each` for every bridge between two points of one tree that was not walked before.
    pub(super) fn mark(&mut self, from: PointId, to: PointId, mut each: impl FnMut(EdgeId)) {
        let (mut from, mut to) = (self.top(from), self.top(to));
        while from != to {
            if self.depth[from] < self.depth[to] {
                (from, to) = (to, from);
            }
            let Some((parent, edge)) = self.parent[from] else { return };
            each(edge);
            self.above[from] = parent;
            from = self.top(parent);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Forest, Grounds};
    use crate::{
        electrical::fuses::protection::Strings,
        model::{PointId, WireId},
        network::{Edge, EdgeKind, EdgeRole, MetalKind, Network},
    };
    use petgraph::graph::NodeIndex;
    use proptest::prelude::*;

    proptest! {
        /// Against a slow oracle: a conductor carries the largest current whose two ends it alone joins.
        #[test]
        fn the_largest_way_over_each_bridge_is_found(
            edges in prop::collection::vec((0..9_u32, 0..9_u32), 0..14),
            ways in prop::collection::vec((0..9_u32, 0..9_u32), 0..8),
        ) {
            let mut network = Network::bare();
            (0..9).for_each(|_| { network.graph.add_node(()); });
            for (at, (a, b)) in edges.iter().enumerate() {
                let kind = EdgeKind::Wire(WireId::from_index(at));
                let role = EdgeRole::Metal(MetalKind::Wire);
                let edge = Edge { a: PointId(*a), b: PointId(*b), kind, role };
                network.graph.add_edge(NodeIndex::new(*a as usize), NodeIndex::new(*b as usize), edge);
            }
            let clusters = network.components(|_, _| true);
            let strings = Strings::default();
            let ground = clusters.table(true);
            let grounds = Grounds { network: &network, clusters: &clusters, strings: &strings, ground: &ground };
            let mut forest = Forest::over(&grounds);
            // The ways stand from the largest to the smallest.
            let mut found = vec![None; edges.len()];
            for (rank, (from, to)) in ways.iter().enumerate() {
                if clusters.of(PointId(*from)) == clusters.of(PointId(*to)) {
                    forest.mark(PointId(*from), PointId(*to), |edge| {
                        let slot = &mut found[edge.index()];
                        assert!(slot.is_none(), "marked twice");
                        *slot = Some(rank);
                    });
                }
            }
            for (at, found) in found.iter().enumerate() {
                let without = network.components(|id, _| id.index() != at);
                let parts = |(from, to): &(u32, u32)| {
                    let joined = clusters.of(PointId(*from)) == clusters.of(PointId(*to));
                    joined && without.of(PointId(*from)) != without.of(PointId(*to))
                };
                prop_assert_eq!(*found, ways.iter().position(parts), "edge {}", at);
            }
        }
    }
}
