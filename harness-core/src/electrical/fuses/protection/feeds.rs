//! Which side of a fuse is fed through it: a bridge problem on the graph of clusters joined by fuses.

use super::{ClusterId, Clusters};
use crate::{
    arena::IdVec,
    model::ElementId,
    network::{EdgeId, Network},
};
use petgraph::{
    graph::{EdgeIndex, NodeIndex, UnGraph},
    visit::EdgeRef,
};

/// A fuse and the clusters that it feeds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feed {
    /// The fuse.
    pub fuse: ElementId,
    /// Its edge.
    pub edge: EdgeId,
    /// The clusters that current reaches through it: in each closure one, two if a source is behind either side, none if nothing
    /// feeds it.
    pub fed: Vec<ClusterId>,
}

/// For each fuse the sides that a source feeds through it.
///
/// A side is fed if, with this fuse out, a source's hot pole is still joined to the other side through other fuses. Each
/// fuse is a bridge of the graph of clusters, and then the sources behind it are counted, or it is none, and then both
/// sides are fed as soon as there is a source at all.
pub(super) fn feeds(network: &Network, clusters: &Clusters) -> Vec<Feed> {
    let mut graph: Fuses = UnGraph::with_capacity(clusters.ground.len(), 0);
    for _ in clusters.ground.ids() {
        graph.add_node(());
    }
    let mut hot = IdVec::of(0_u32, clusters.ground.len());
    for (id, edge) in network.edges() {
        let Some(element) = edge.element() else { continue };
        if edge.role.is_fuse() {
            graph.add_edge(node(clusters.of(edge.a)), node(clusters.of(edge.b)), (element, id));
        } else if edge.role.drives() {
            // Both poles can drive a fault, except the one that is the ground itself.
            for cluster in [clusters.of(edge.a), clusters.of(edge.b)] {
                hot[cluster] += u32::from(!clusters.ground[cluster]);
            }
        }
    }
    let walk = Walk::over(&graph, hot);
    let mut feeds: Vec<Feed> = graph
        .edge_references()
        .map(|edge| {
            let (fuse, id) = *edge.weight();
            let (a, b) = (cluster(edge.source()), cluster(edge.target()));
            let fed = [walk.feeds(edge.id(), b, a).then_some(b), walk.feeds(edge.id(), a, b).then_some(a)];
            let fed = fed.into_iter().flatten().filter(|_| a != b).collect();
            Feed { fuse, edge: id, fed }
        })
        .collect();
    feeds.sort_by_key(|feed| feed.edge);
    feeds
}

/// Clusters, numbered as ever, joined by fuses.
type Fuses = UnGraph<(), (ElementId, EdgeId), u32>;

fn node(cluster: ClusterId) -> NodeIndex<u32> {
    NodeIndex::new(cluster.index())
}

fn cluster(node: NodeIndex<u32>) -> ClusterId {
    ClusterId::from_index(node.index())
}

/// A depth-first walk with, for each cluster, what Tarjan's bridge search needs and the sources in its subtree.
struct Walk {
    parent_edge: IdVec<ClusterId, Option<EdgeIndex<u32>>>,
    order: IdVec<ClusterId, u32>,
    low: IdVec<ClusterId, u32>,
    below: IdVec<ClusterId, u32>,
    root: IdVec<ClusterId, ClusterId>,
}

/// The order of what was not met yet.
const NOT_MET: u32 = u32::MAX;

impl Walk {
    /// Walks without recursion; parallel fuses are distinguished by their edge, so that they are not bridges.
    fn over(graph: &Fuses, hot: IdVec<ClusterId, u32>) -> Self {
        let count = graph.node_count();
        let mut walk = Self {
            parent_edge: IdVec::of(None, count),
            order: IdVec::of(NOT_MET, count),
            low: IdVec::of(NOT_MET, count),
            below: hot,
            root: graph.node_indices().map(cluster).collect(),
        };
        let mut next = 0;
        for start in graph.node_indices() {
            if walk.order[cluster(start)] != NOT_MET {
                continue;
            }
            let mut stack = vec![(start, graph.edges(start))];
            walk.enter(cluster(start), cluster(start), None, &mut next);
            while let Some((at, edges)) = stack.last_mut() {
                let at = *at;
                let own = cluster(at);
                if let Some(edge) = edges.next() {
                    let beyond = if edge.source() == at { edge.target() } else { edge.source() };
                    let other = cluster(beyond);
                    if Some(edge.id()) == walk.parent_edge[own] {
                        continue;
                    }
                    if walk.order[other] == NOT_MET {
                        walk.enter(other, cluster(start), Some(edge.id()), &mut next);
                        stack.push((beyond, graph.edges(beyond)));
                    } else {
                        walk.low[own] = walk.low[own].min(walk.order[other]);
                    }
                    continue;
                }
                stack.pop();
                if let Some((parent, _)) = stack.last() {
                    let parent = cluster(*parent);
                    walk.low[parent] = walk.low[parent].min(walk.low[own]);
                    walk.below[parent] += walk.below[own];
                }
            }
        }
        walk
    }

    fn enter(&mut self, at: ClusterId, root: ClusterId, edge: Option<EdgeIndex<u32>>, next: &mut u32) {
        (self.order[at], self.low[at], self.parent_edge[at], self.root[at]) = (*next, *next, edge, root);
        *next += 1;
    }

    /// Whether a source is on the side of `from` once `edge` is out.
    fn feeds(&self, edge: EdgeIndex<u32>, to: ClusterId, from: ClusterId) -> bool {
        let all = self.below[self.root[from]];
        let is_child = |at: ClusterId| self.parent_edge[at] == Some(edge);
        let child = if is_child(from) { Some(from) } else { Some(to).filter(|to| is_child(*to)) };
        let Some(child) = child else { return all > 0 };
        // The child is cut off by the edge exactly if nothing below it reaches above it.
        if self.low[child] < self.order[child] {
            return all > 0;
        }
        let below = self.below[child];
        if child == from { below > 0 } else { all > below }
    }
}

#[cfg(test)]
mod tests {
    use super::{Fuses, Walk, cluster};
    use crate::{arena::IdVec, model::ElementId, network::EdgeId};
    use petgraph::{
        graph::NodeIndex,
        unionfind::UnionFind,
        visit::{EdgeRef, NodeIndexable},
    };
    use proptest::prelude::*;

    proptest! {
        /// Against a slow oracle: take the fuse out, join the rest, look for a source on the other side.
        #[test]
        fn a_side_is_fed_if_a_source_stays_joined_to_the_other(
            edges in prop::collection::vec((0..8_usize, 0..8_usize), 0..14),
            hot in prop::collection::vec(0..2_u32, 8),
        ) {
            let mut graph = Fuses::default();
            for _ in 0..8 {
                graph.add_node(());
            }
            for (at, (a, b)) in edges.iter().enumerate() {
                graph.add_edge(NodeIndex::new(*a), NodeIndex::new(*b), (ElementId::from_index(at), EdgeId(at as u32)));
            }
            let walk = Walk::over(&graph, IdVec::from(hot.clone()));
            for edge in graph.edge_references().filter(|edge| edge.source() != edge.target()) {
                for (to, from) in [(edge.target(), edge.source()), (edge.source(), edge.target())] {
                    let mut sets = UnionFind::<usize>::new(graph.node_bound());
                    for other in graph.edge_references().filter(|other| other.id() != edge.id()) {
                        sets.union(other.source().index(), other.target().index());
                    }
                    let expected = (0..8).any(|node| hot[node] > 0 && sets.equiv(node, from.index()));
                    prop_assert_eq!(walk.feeds(edge.id(), cluster(to), cluster(from)), expected);
                }
            }
        }
    }
}
