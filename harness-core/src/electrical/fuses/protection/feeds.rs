//! Which side of a fuse is fed through it: a bridge problem on the graph of clusters joined by fuses.

use crate::{
    arena::IdVec,
    model::ElementId,
    network::{Components, EdgeId, GroupId, Network},
};
use petgraph::{
    graph::{EdgeIndex, NodeIndex, UnGraph},
    visit::EdgeRef,
};

/// A fuse and the clusters that it feeds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Feed {
    /// The fuse.
    pub fuse: ElementId,
    /// Its edge.
    pub edge: EdgeId,
    /// The cluster that current reaches through it; two if a source lies behind either side, none if nothing feeds it.
    pub fed: [Option<GroupId>; 2],
}

/// For each fuse the sides that a source feeds through it.
///
/// A side is fed if, with this fuse out, a source's hot pole is still joined to the other side through other fuses. Each
/// fuse is a bridge of the graph of clusters, and then the sources behind it are counted, or it is none, and then both
/// sides are fed as soon as there is a source at all.
pub(super) fn feeds(network: &Network, clusters: &Components, ground: &IdVec<GroupId, bool>) -> Vec<Feed> {
    let mut graph: UnGraph<(), (ElementId, EdgeId), u32> = UnGraph::with_capacity(clusters.len(), 0);
    for _ in 0..clusters.len() {
        graph.add_node(());
    }
    let mut hot = clusters.table(0_u32);
    for (id, edge) in network.edges() {
        let (a, b) = (clusters.of(edge.a), clusters.of(edge.b));
        if let (true, Some((fuse, _))) = (edge.role.is_fuse(), edge.element()) {
            graph.add_edge(NodeIndex::new(a.index()), NodeIndex::new(b.index()), (fuse, id));
        }
        if edge.role.drives() {
            // Both poles can drive a fault, except the one that is the ground itself.
            for cluster in [a, b].into_iter().filter(|cluster| !ground[*cluster]) {
                hot[cluster] += 1;
            }
        }
    }
    let sides = Sides::over(&graph, hot.items());
    let mut feeds: Vec<Feed> = graph
        .edge_references()
        .map(|edge| {
            let (fuse, id) = *edge.weight();
            let (a, b) = (edge.source(), edge.target());
            let fed = [
                sides.feeds(edge.id(), b, a).then(|| GroupId::from_index(b.index())),
                sides.feeds(edge.id(), a, b).then(|| GroupId::from_index(a.index())),
            ];
            Feed { fuse, edge: id, fed: if a == b { [None, None] } else { fed } }
        })
        .collect();
    feeds.sort_by_key(|feed| feed.edge);
    feeds
}

/// A depth-first walk with, for each node, what Tarjan's bridge search needs and the sources in its subtree.
struct Sides {
    parent_edge: Vec<Option<EdgeIndex<u32>>>,
    order: Vec<u32>,
    low: Vec<u32>,
    below: Vec<u32>,
    root: Vec<u32>,
}

impl Sides {
    /// Walks without recursion; parallel fuses are told apart by their edge, so that they are no bridges.
    fn over(graph: &UnGraph<(), (ElementId, EdgeId), u32>, hot: &[u32]) -> Self {
        let count = graph.node_count();
        let mut sides = Self {
            parent_edge: vec![None; count],
            order: vec![u32::MAX; count],
            low: vec![u32::MAX; count],
            below: hot.to_vec(),
            root: vec![u32::MAX; count],
        };
        let mut next = 0;
        for start in graph.node_indices() {
            if get(&sides.order, start) != u32::MAX {
                continue;
            }
            let mut stack = vec![(start, graph.edges(start))];
            sides.enter(start, start, None, &mut next);
            while let Some((node, edges)) = stack.last_mut() {
                let node = *node;
                if let Some(edge) = edges.next() {
                    let other = if edge.source() == node { edge.target() } else { edge.source() };
                    if Some(edge.id()) == sides.parent_edge.get(node.index()).copied().flatten() {
                        continue;
                    }
                    if get(&sides.order, other) == u32::MAX {
                        sides.enter(other, start, Some(edge.id()), &mut next);
                        stack.push((other, graph.edges(other)));
                    } else {
                        let seen = get(&sides.order, other);
                        lower(&mut sides.low, node, seen);
                    }
                    continue;
                }
                stack.pop();
                if let Some((parent, _)) = stack.last() {
                    let (low, below) = (get(&sides.low, node), get(&sides.below, node));
                    lower(&mut sides.low, *parent, low);
                    if let Some(slot) = sides.below.get_mut(parent.index()) {
                        *slot += below;
                    }
                }
            }
        }
        sides
    }

    fn enter(&mut self, node: NodeIndex<u32>, root: NodeIndex<u32>, edge: Option<EdgeIndex<u32>>, next: &mut u32) {
        let index = node.index();
        if let (Some(order), Some(low), Some(parent), Some(of)) =
            (self.order.get_mut(index), self.low.get_mut(index), self.parent_edge.get_mut(index), self.root.get_mut(index))
        {
            *order = *next;
            *low = *next;
            *parent = edge;
            *of = root.index() as u32;
            *next += 1;
        }
    }

    /// Whether a source lies on the side of `from` once `edge` is out.
    fn feeds(&self, edge: EdgeIndex<u32>, to: NodeIndex<u32>, from: NodeIndex<u32>) -> bool {
        let root = get(&self.root, from) as usize;
        let all = self.below.get(root).copied().unwrap_or(0);
        let is_child = |node: NodeIndex<u32>| self.parent_edge.get(node.index()).copied().flatten() == Some(edge);
        let child = if is_child(from) { Some(from) } else { Some(to).filter(|to| is_child(*to)) };
        let Some(child) = child else { return all > 0 };
        // The child is cut off by the edge exactly if nothing below it reaches above it.
        if get(&self.low, child) < get(&self.order, child) {
            return all > 0;
        }
        let below = get(&self.below, child);
        if child == from { below > 0 } else { all > below }
    }
}

fn get(values: &[u32], node: NodeIndex<u32>) -> u32 {
    values.get(node.index()).copied().unwrap_or(u32::MAX)
}

fn lower(values: &mut [u32], node: NodeIndex<u32>, to: u32) {
    if let Some(slot) = values.get_mut(node.index()) {
        *slot = (*slot).min(to);
    }
}

#[cfg(test)]
mod tests {
    use super::Sides;
    use crate::{model::ElementId, network::EdgeId};
    use petgraph::{
        graph::{NodeIndex, UnGraph},
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
            let mut graph: UnGraph<(), (ElementId, EdgeId), u32> = UnGraph::default();
            for _ in 0..8 {
                graph.add_node(());
            }
            for (at, (a, b)) in edges.iter().enumerate() {
                graph.add_edge(NodeIndex::new(*a), NodeIndex::new(*b), (ElementId::from_index(at), EdgeId(at as u32)));
            }
            let sides = Sides::over(&graph, &hot);
            for edge in graph.edge_references().filter(|edge| edge.source() != edge.target()) {
                for (to, from) in [(edge.target(), edge.source()), (edge.source(), edge.target())] {
                    let mut sets = UnionFind::<usize>::new(graph.node_bound());
                    for other in graph.edge_references().filter(|other| other.id() != edge.id()) {
                        sets.union(other.source().index(), other.target().index());
                    }
                    let expected = (0..8).any(|node| hot[node] > 0 && sets.equiv(node, from.index()));
                    prop_assert_eq!(sides.feeds(edge.id(), to, from), expected);
                }
            }
        }
    }
}
