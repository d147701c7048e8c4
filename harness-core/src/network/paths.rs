//! The one search for shortest ways, and the names of everything along one.
//!
//! The library of graphs keeps no record of how its breadth-first walk came to a node, and its search for paths takes another of
//! several equally short ones with another list of edges; so the walk is written here, once.

use super::{Edge, EdgeId, EdgeKind, Network};
use crate::model::PointId;
use rustc_hash::FxHashMap;

/// One step of a path: the edge that is passed and the point behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// The edge.
    pub edge: EdgeId,
    /// The point behind it.
    pub point: PointId,
}

/// What is reached from some points, the nearest first, and by which shortest way.
#[derive(Debug, Default)]
pub struct Walk {
    order: Vec<PointId>,
    /// How each point was come to; `None` for those at which the walk began.
    came: FxHashMap<PointId, Option<Came>>,
}

/// How a walk came to a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Came {
    /// The point before it.
    pub from: PointId,
    /// The edge between.
    pub by: EdgeId,
}

impl Walk {
    /// The points reached, those at which the walk began first, each once; a point comes behind the one it was reached from.
    #[must_use]
    pub fn reached(&self) -> &[PointId] {
        &self.order
    }

    /// How the walk came to `point`; `None` where it began there or never came.
    #[must_use]
    pub fn came(&self, point: PointId) -> Option<Came> {
        self.came.get(&point).copied().flatten()
    }

    /// The way from where the walk began to `point`; `None` if it never came there.
    #[must_use]
    pub fn steps_to(&self, point: PointId) -> Option<Vec<Step>> {
        self.came.get(&point)?;
        let mut steps = Vec::new();
        let mut at = point;
        while let Some(came) = self.came(at) {
            steps.push(Step { edge: came.by, point: at });
            at = came.from;
        }
        steps.reverse();
        Some(steps)
    }

    /// Adds a point if it is new; whether it was.
    fn add(&mut self, point: PointId, came: Option<Came>) -> bool {
        let is_new = !self.came.contains_key(&point);
        if is_new {
            self.came.insert(point, came);
            self.order.push(point);
        }
        is_new
    }
}

impl Network {
    /// Walks from all of `starts` at once over the edges that `keep` lets through.
    ///
    /// Cost: linear in what is reached.
    #[must_use]
    pub fn walk(&self, starts: impl IntoIterator<Item = PointId>, keep: impl Fn(EdgeId, &Edge) -> bool) -> Walk {
        self.search(starts, |_| false, |_, id, edge| keep(id, edge)).0
    }

    /// The same, where an edge may let through from one of its points alone: `keep` gets the point that the walk leaves.
    #[must_use]
    pub fn walk_along(&self, starts: impl IntoIterator<Item = PointId>, keep: impl Fn(PointId, EdgeId, &Edge) -> bool) -> Walk {
        self.search(starts, |_| false, keep).0
    }

    /// A shortest path from `start` to the first point that `goal` takes, over the edges that `keep` lets through.
    ///
    /// `None` if no such point is reached; an empty path if `start` is one. Cost: linear in what is reached.
    #[must_use]
    pub fn path(
        &self,
        start: PointId,
        goal: impl FnMut(PointId) -> bool,
        keep: impl Fn(EdgeId, &Edge) -> bool,
    ) -> Option<Vec<Step>> {
        let (walk, found) = self.search([start], goal, |_, id, edge| keep(id, edge));
        walk.steps_to(found?)
    }

    fn search(
        &self,
        starts: impl IntoIterator<Item = PointId>,
        mut goal: impl FnMut(PointId) -> bool,
        keep: impl Fn(PointId, EdgeId, &Edge) -> bool,
    ) -> (Walk, Option<PointId>) {
        let mut walk = Walk::default();
        for start in starts {
            if walk.add(start, None) && goal(start) {
                return (walk, Some(start));
            }
        }
        let mut next = 0;
        while let Some(&point) = walk.order.get(next) {
            next += 1;
            for (id, edge, other) in self.around(point) {
                if !walk.came.contains_key(&other) && keep(point, id, edge) {
                    walk.add(other, Some(Came { from: point, by: id }));
                    if goal(other) {
                        return (walk, Some(other));
                    }
                }
            }
        }
        (walk, None)
    }

    /// The names along a path, from cause to effect: points with the wires and elements between them.
    ///
    /// A mated pair is named once, by the side that the path comes to last; at the start by the side that it leaves.
    #[must_use]
    pub fn names(&self, start: PointId, steps: &[Step]) -> Vec<String> {
        let model = self.model();
        let mut names = vec![model.point_name(start)];
        for step in steps {
            match self[step.edge].kind {
                EdgeKind::Wire(wire) => names.push(format!("wire {}", model.wire_name(wire))),
                EdgeKind::Screen(cable) => names.push(format!("screen of {}", model.text(model[cable].name))),
                EdgeKind::Element(element) => names.push(model.element_name(element)),
                EdgeKind::Chassis(device) => names.push(model.device_name(device).to_owned()),
                // The two sides of a joint are one place to whoever is before it; a path begins where it was asked to.
                EdgeKind::Contact(_) | EdgeKind::Joint(_) if names.len() == 1 => continue,
                EdgeKind::Contact(_) | EdgeKind::Joint(_) => {
                    names.pop();
                }
            }
            names.push(model.point_name(step.point));
        }
        names.dedup();
        names
    }
}

/// The same way walked from its end: where it then starts, and its steps.
#[must_use]
pub fn turned(start: PointId, steps: &[Step]) -> (PointId, Vec<Step>) {
    let points = std::iter::once(start).chain(steps.iter().map(|step| step.point));
    let mut turned: Vec<Step> = steps.iter().zip(points).map(|(step, before)| Step { edge: step.edge, point: before }).collect();
    turned.reverse();
    (steps.last().map_or(start, |step| step.point), turned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        model::WireId,
        network::{EdgeRole, MetalKind},
    };
    use petgraph::{algo::dijkstra, graph::NodeIndex};
    use proptest::prelude::*;

    /// A network of `points` points joined by wires.
    fn wired(points: u32, wires: &[(u32, u32)]) -> Network {
        let mut network = Network::bare();
        (0..points).for_each(|_| {
            network.graph.add_node(());
        });
        for (at, (a, b)) in wires.iter().enumerate() {
            let role = EdgeRole::Metal(MetalKind::Wire);
            let edge = Edge { a: PointId(*a), b: PointId(*b), kind: EdgeKind::Wire(WireId::from_index(at)), role };
            network.graph.add_edge(NodeIndex::new(*a as usize), NodeIndex::new(*b as usize), edge);
        }
        network
    }

    proptest! {
        /// Against the library of graphs: as long as its shortest, of edges that follow each other, and turned it leads back.
        #[test]
        fn a_path_is_one_of_the_shortest(wires in prop::collection::vec((0..9_u32, 0..9_u32), 0..16)) {
            let network = wired(9, &wires);
            let lengths = dijkstra(&network.graph, NodeIndex::new(0), None, |_| 1_usize);
            let walk = network.walk([PointId(0)], |_, _| true);
            for point in (0..9).map(PointId) {
                let expected = lengths.get(&NodeIndex::new(point.index())).copied();
                let path = network.path(PointId(0), |at| at == point, |_, _| true);
                prop_assert_eq!(path.as_ref().map(Vec::len), expected);
                prop_assert_eq!(walk.steps_to(point).map(|steps| steps.len()), expected);
                let Some(path) = path else { continue };
                let mut at = PointId(0);
                for step in &path {
                    prop_assert_eq!(network[step.edge].other(at), step.point);
                    at = step.point;
                }
                let (end, back) = turned(PointId(0), &path);
                prop_assert_eq!((end, at), (point, point));
                prop_assert_eq!(turned(end, &back), (PointId(0), path));
            }
        }
    }
}
