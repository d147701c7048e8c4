//! The electrical graph: nodes are points that a probe can touch, edges are what joins them.
//!
//! Owns who is joined to whom: nets, components, paths. Knows nothing of figures, limits or wording. Nodes have the
//! numbers of the model's points and edges are in the order in which they were made (wires first), so that every
//! walk gives the same result on every machine.

mod components;
mod domains;
mod edge;
mod inputs;
mod make;
mod paths;
mod role;

pub use components::{Components, GroupId};
pub use domains::{Boundary, Domains, Nearest, Potential, boundaries, domains, places, potentials, resistor};
pub use edge::{Edge, EdgeId, EdgeKind};
pub use make::network;
pub use paths::{Came, Step, Walk, turned};
pub use role::{EdgeRole, MetalKind};

use crate::{
    arena::ids,
    model::{Model, PointId},
};
use components::Sets;
use petgraph::{
    graph::{EdgeIndex, NodeIndex, UnGraph},
    visit::EdgeRef,
};
use std::{ops::Index, sync::Arc};

ids! {
    /// A net: points that are one conductor apart from the resistance of metal.
    NetId;
}

/// The electrical graph of a design, with the model that it was built from: no other can be taken for it.
#[derive(Debug)]
pub struct Network {
    model: Arc<Model>,
    pub(crate) graph: UnGraph<(), Edge, u32>,
    nets: Components,
}

impl Index<EdgeId> for Network {
    type Output = Edge;

    #[track_caller]
    fn index(&self, id: EdgeId) -> &Edge {
        &self.graph[EdgeIndex::new(id.index())]
    }
}

#[cfg(test)]
impl Network {
    /// A graph without a design behind it, to be filled by hand.
    pub(crate) fn bare() -> Self {
        Self { model: Arc::default(), graph: UnGraph::default(), nets: Components::default() }
    }
}

impl Network {
    /// The model that the graph was built from.
    #[must_use]
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// All edges with their ids, in the order made.
    pub fn edges(&self) -> impl Iterator<Item = (EdgeId, &Edge)> {
        self.graph.edge_weights().enumerate().map(|(index, edge)| (EdgeId::from_index(index), edge))
    }

    /// How many edges there are.
    #[must_use]
    pub fn edge_count(&self) -> usize {
        self.graph.edge_count()
    }

    /// How many points there are.
    #[must_use]
    pub fn point_count(&self) -> usize {
        self.graph.node_count()
    }

    /// What the edge `id` is to a current.
    #[must_use]
    pub fn role(&self, id: EdgeId) -> EdgeRole {
        self[id].role
    }

    /// The edges at `point` with the point at their other side. The order is fixed and means nothing.
    pub fn around(&self, point: PointId) -> impl Iterator<Item = (EdgeId, &Edge, PointId)> {
        let node = NodeIndex::new(point.index());
        // A point that is not of this network has no edges: petgraph gives an empty walk for it.
        self.graph.edges(node).map(move |edge| {
            let other = if edge.source() == node { edge.target() } else { edge.source() };
            (EdgeId::from_index(edge.id().index()), edge.weight(), PointId::from_index(other.index()))
        })
    }

    /// The net of `point`.
    #[must_use]
    pub fn net(&self, point: PointId) -> NetId {
        NetId(self.nets.of(point).0)
    }

    /// All nets, by their first point; a point that nothing joins is a net of its own.
    pub fn nets(&self) -> impl Iterator<Item = (NetId, &[PointId])> {
        self.nets.iter().map(|(group, points)| (NetId(group.0), points))
    }

    /// The points of `net`.
    #[must_use]
    pub fn net_points(&self, net: NetId) -> &[PointId] {
        self.nets.members(GroupId(net.0))
    }

    /// Components over the edges that `keep` lets through.
    ///
    /// Cost: one pass over the edges, nearly linear.
    #[must_use]
    pub fn components(&self, keep: impl Fn(EdgeId, &Edge) -> bool) -> Components {
        let mut sets = Sets::new(self.point_count());
        for (id, edge) in self.edges() {
            if keep(id, edge) {
                sets.join(edge.a, edge.b);
            }
        }
        sets.into_components()
    }

    /// Sorts the points into nets; called once, when all edges are there.
    fn find_nets(&mut self) {
        self.nets = self.components(|_, edge| edge.is_metal());
    }
}
