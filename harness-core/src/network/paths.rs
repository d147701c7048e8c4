//! Shortest ways through the network, with the names of everything on the way.

use super::{Edge, EdgeId, EdgeKind, Network};
use crate::model::{Model, PointId};
use std::collections::VecDeque;

/// One step of a path: the edge that is passed and the point behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// The edge.
    pub edge: EdgeId,
    /// The point behind it.
    pub point: PointId,
}

impl Network {
    /// A shortest path from `start` to the first point that `goal` takes, over the edges that `keep` lets through.
    ///
    /// `None` if no such point is reached; an empty path if `start` is one. Cost: linear in what is reached, with a
    /// mark for each point of the network.
    #[must_use]
    pub fn path(
        &self,
        start: PointId,
        goal: impl Fn(PointId) -> bool,
        keep: impl Fn(EdgeId, &Edge) -> bool,
    ) -> Option<Vec<Step>> {
        if goal(start) {
            return Some(Vec::new());
        }
        let mut came: rustc_hash::FxHashMap<PointId, (PointId, EdgeId)> = rustc_hash::FxHashMap::default();
        let mut waiting = VecDeque::from([start]);
        while let Some(point) = waiting.pop_front() {
            for (id, edge, other) in self.around(point) {
                if other == start || came.contains_key(&other) || !keep(id, edge) {
                    continue;
                }
                came.insert(other, (point, id));
                if goal(other) {
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

    /// The names along a path, from cause to effect: points with the wires and elements between them.
    ///
    /// A mated pair is named once, by the side that the path comes to last; at the start by the side that it leaves.
    #[must_use]
    pub fn names(&self, model: &Model, start: PointId, steps: &[Step]) -> Vec<String> {
        let mut names = vec![model.point_name(start)];
        for step in steps {
            match self[step.edge].kind {
                EdgeKind::Wire(wire) => names.push(format!("wire {}", model.wire_name(wire))),
                EdgeKind::Screen(cable) => {
                    names.push(format!("screen of {}", model.text(model[cable].name)));
                }
                EdgeKind::Element(element, _) => names.push(model.element_name(element)),
                EdgeKind::Chassis(device) => names.push(model.device_name(device).to_owned()),
                // The two sides of a joint are one place to whoever stands before it; a path begins where it was asked to.
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
