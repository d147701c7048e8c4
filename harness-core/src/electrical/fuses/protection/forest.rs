//! The conductors and fuses of the grounds as a forest, in which every edge that is not a bridge is already joined.

use super::Clusters;
use crate::{
    arena::IdVec,
    electrical::alternatives::Closure,
    model::PointId,
    network::{EdgeId, Network},
};

/// The forest.
pub(super) struct Forest {
    /// Per point: the point nearer to the first of its tree, and the edge between.
    parent: IdVec<PointId, Option<(PointId, EdgeId)>>,
    depth: IdVec<PointId, u32>,
    /// Per point: the first of its tree; for a point of no ground itself.
    tree: IdVec<PointId, PointId>,
    /// A point above it on the same joined or marked run, or the point itself at its top.
    above: IdVec<PointId, PointId>,
}

/// The order of what was not met yet.
const NOT_MET: u32 = u32::MAX;

impl Forest {
    /// Walks without recursion; parallel conductors are distinguished by their edge.
    pub(super) fn over(network: &Network, closure: &Closure, clusters: &Clusters) -> Self {
        let count = network.point_count();
        let own: IdVec<PointId, PointId> = (0..count).map(PointId::from_index).collect();
        let mut forest = Self { parent: IdVec::of(None, count), depth: IdVec::of(0, count), tree: own.clone(), above: own };
        let mut order: IdVec<PointId, u32> = IdVec::of(NOT_MET, count);
        let mut low = order.clone();
        let mut next = 0;
        for start in order.ids().filter(|point| clusters.grounds(*point)) {
            if order[start] != NOT_MET {
                continue;
            }
            let mut stack = vec![(start, network.around(start))];
            (order[start], low[start]) = (next, next);
            next += 1;
            while let Some((point, edges)) = stack.last_mut() {
                let point = *point;
                let own = forest.parent[point];
                if let Some((id, edge, other)) = edges.next() {
                    let passes = closure.conducts(id, edge);
                    if !passes || !clusters.grounds(other) || own.is_some_and(|(_, edge)| edge == id) {
                        continue;
                    }
                    if order[other] == NOT_MET {
                        forest.parent[other] = Some((point, id));
                        forest.depth[other] = forest.depth[point] + 1;
                        forest.tree[other] = start;
                        (order[other], low[other]) = (next, next);
                        next += 1;
                        stack.push((other, network.around(other)));
                    } else {
                        low[point] = low[point].min(order[other]);
                    }
                    continue;
                }
                stack.pop();
                if let Some((parent, _)) = own {
                    // Something at or below the point reaches above it: a second way leads round the edge to its parent.
                    if low[point] < order[point] {
                        forest.above[point] = parent;
                    }
                    low[parent] = low[parent].min(low[point]);
                }
            }
        }
        forest
    }

    /// The first point of the tree that holds `point`.
    pub(super) fn tree(&self, point: PointId) -> PointId {
        self.tree[point]
    }

    /// The point at which the ways between three points of one tree meet; `None` for points of several trees.
    pub(super) fn middle(&self, [a, b, c]: [PointId; 3]) -> Option<PointId> {
        let meets = [self.first_above(a, b)?, self.first_above(b, c)?, self.first_above(a, c)?];
        // Of the three two are one point, and the third is the middle or that point too: the deepest.
        meets.into_iter().max_by_key(|point| self.depth[*point])
    }

    /// The deepest point from which both points hang.
    fn first_above(&self, mut a: PointId, mut b: PointId) -> Option<PointId> {
        while a != b {
            let lower = if self.depth[a] < self.depth[b] { &mut b } else { &mut a };
            (*lower, _) = self.parent[*lower]?;
        }
        Some(a)
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
            // Both at the first point of their trees: these are two, and nothing is between them.
            let Some((parent, edge)) = self.parent[from] else { return };
            each(edge);
            self.above[from] = parent;
            from = self.top(parent);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Closure, Clusters, Forest};
    use crate::{
        arena::IdVec,
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
            let ground = IdVec::of(true, clusters.len());
            let mut forest = Forest::over(&network, &Closure::default(), &Clusters { points: clusters.clone(), ground });
            // The ways are listed from the largest to the smallest.
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
