//! The electrical graph: nodes are points that a probe can touch, edges are what joins them.
//!
//! Owns who is joined to whom: nets, components, paths. Knows nothing of figures, limits or wording. Nodes have the
//! numbers of the model's points and edges stand in the order in which they were made (wires first), so that every
//! walk gives the same result on every machine.

mod domains;
mod edge;
mod make;
mod paths;

pub use domains::{Boundary, Domains, Nearest, Potential, boundaries, domains, is_galvanic, places, potentials, resistor};
pub use edge::{Edge, EdgeId, EdgeKind, Terminal};
pub use make::network;
pub use paths::Step;

use crate::model::{Model, PointId};
use petgraph::{
    graph::{EdgeIndex, NodeIndex, UnGraph},
    visit::EdgeRef,
};
use std::{ops::Index, sync::Arc};

/// A net: points that are one conductor apart from the resistance of metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NetId(pub(crate) u32);

/// The electrical graph of a design, with the model that it was built from: no other can be taken for it.
#[derive(Debug)]
pub struct Network {
    model: Arc<Model>,
    pub(crate) graph: UnGraph<(), Edge, u32>,
    nets: Components,
}

/// Points sorted into components, each with its points in order.
#[derive(Debug, Default, Clone)]
pub struct Components {
    of: Vec<u32>,
    starts: Vec<u32>,
    members: Vec<PointId>,
}

/// Disjoint sets of points, each with its first point as root.
///
/// A general union-find picks its roots by rank, and numbering the components by their first points then takes a table
/// and a pass more; components are sought a dozen times a run, which makes that the larger part of them.
struct Sets {
    /// A point of the same set with a lower number, or the point itself if it is the first.
    above: Vec<u32>,
}

impl Sets {
    fn root(&mut self, point: u32) -> u32 {
        let mut point = point;
        loop {
            let above = self.above.get(point as usize).copied().unwrap_or(point);
            if above == point {
                return point;
            }
            // Halving the way as it is walked keeps ways short.
            let next = self.above.get(above as usize).copied().unwrap_or(above);
            if let Some(slot) = self.above.get_mut(point as usize) {
                *slot = next;
            }
            point = next;
        }
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        if let Some(slot) = self.above.get_mut(a.max(b) as usize) {
            *slot = a.min(b);
        }
    }
}

impl Components {
    /// Sorts the points into components, numbered by their first point; the root of each is its first point.
    fn from_roots(mut sets: Sets) -> Self {
        let mut of: Vec<u32> = Vec::with_capacity(sets.above.len());
        let mut counts: Vec<u32> = Vec::new();
        for point in 0..sets.above.len() as u32 {
            let root = sets.root(point);
            // A root is met before all others of its component.
            let number = if root == point { counts.len() as u32 } else { of.get(root as usize).copied().unwrap_or_default() };
            of.push(number);
            match counts.get_mut(number as usize) {
                Some(count) => *count += 1,
                None => counts.push(1),
            }
        }
        let mut starts = Vec::with_capacity(counts.len() + 1);
        let mut sum = 0;
        starts.push(0);
        for count in counts {
            sum += count;
            starts.push(sum);
        }
        let mut next = starts.clone();
        let mut members = vec![PointId(0); of.len()];
        for (point, component) in of.iter().enumerate() {
            if let Some(slot) = next.get_mut(*component as usize) {
                if let Some(member) = members.get_mut(*slot as usize) {
                    *member = PointId::from_index(point);
                }
                *slot += 1;
            }
        }
        Self { of, starts, members }
    }

    /// The number of the component that holds `point`.
    #[must_use]
    pub fn of(&self, point: PointId) -> u32 {
        self.of.get(point.index()).copied().unwrap_or(u32::MAX)
    }

    /// How many components there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The points of component `number`, in order.
    #[must_use]
    pub fn members(&self, number: u32) -> &[PointId] {
        let index = number as usize;
        match (self.starts.get(index), self.starts.get(index + 1)) {
            (Some(&start), Some(&end)) => self.members.get(start as usize..end as usize).unwrap_or_default(),
            _ => &[],
        }
    }
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
        self.graph.edge_weights().enumerate().map(|(index, edge)| (EdgeId(index as u32), edge))
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

    /// The edge `id`.
    #[must_use]
    pub fn edge(&self, id: EdgeId) -> Option<&Edge> {
        self.graph.edge_weight(EdgeIndex::new(id.index()))
    }

    /// The edges at `point` with the point at their other side. The order is fixed and means nothing.
    pub fn around(&self, point: PointId) -> impl Iterator<Item = (EdgeId, &Edge, PointId)> {
        let node = NodeIndex::new(point.index());
        // A point that is not of this network has no edges: petgraph gives an empty walk for it.
        self.graph.edges(node).map(move |edge| {
            let other = if edge.source() == node { edge.target() } else { edge.source() };
            (EdgeId(edge.id().index() as u32), edge.weight(), PointId::from_index(other.index()))
        })
    }

    /// The net of `point`.
    #[must_use]
    pub fn net(&self, point: PointId) -> NetId {
        NetId(self.nets.of(point))
    }

    /// All nets, by their first point; a point that nothing joins is a net of its own.
    pub fn nets(&self) -> impl Iterator<Item = (NetId, &[PointId])> {
        (0..self.nets.len() as u32).map(|number| (NetId(number), self.nets.members(number)))
    }

    /// The points of `net`.
    #[must_use]
    pub fn net_points(&self, net: NetId) -> &[PointId] {
        self.nets.members(net.0)
    }

    /// Components over the edges that `keep` lets through.
    ///
    /// Cost: one pass over the edges, nearly linear.
    #[must_use]
    pub fn components(&self, keep: impl Fn(EdgeId, &Edge) -> bool) -> Components {
        let mut sets = Sets { above: (0..self.graph.node_count() as u32).collect() };
        for (id, edge) in self.edges() {
            if keep(id, edge) {
                sets.join(edge.a.index() as u32, edge.b.index() as u32);
            }
        }
        Components::from_roots(sets)
    }

    /// Sorts the points into nets; called once, when all edges are there.
    fn find_nets(&mut self) {
        self.nets = self.components(|_, edge| edge.is_metal());
    }
}
