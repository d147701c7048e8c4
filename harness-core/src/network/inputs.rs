//! Which of its two points is the live one at the input of a converter that takes alternating voltage.
//!
//! Alternating voltage has no plus: line and neutral may be connected to such an input either way round. Its edge begins at the point that the line
//! reaches, whichever the design names first, so that what flows is the same.

use super::{GroupId, Network, domains, role::EdgeRole};
use crate::model::PointId;
use petgraph::graph::EdgeIndex;
use rustc_hash::FxHashSet;

impl Network {
    /// Turns the edges of inputs whose second point the line reaches. Cost: nothing in a design without alternating voltage; else two searches.
    pub(super) fn turn_inputs(&mut self) {
        if !self.model.domains().any(|(_, domain)| domain.ac) {
            return;
        }
        let turned = self.turned_inputs();
        for index in turned {
            if let Some(edge) = self.graph.edge_weight_mut(EdgeIndex::new(index)) {
                std::mem::swap(&mut edge.a, &mut edge.b);
            }
        }
    }

    fn turned_inputs(&self) -> Vec<usize> {
        let inputs: Vec<usize> =
            self.edges().filter(|(_, edge)| edge.role == EdgeRole::ConverterInput).map(|(id, _)| id.index()).collect();
        if inputs.is_empty() {
            return Vec::new();
        }
        let (domains, lumps) = (domains(self), self.components(|_, edge| edge.role.conducts_when_closed()));
        let is_ac = |point: PointId| domains.of(point).is_some_and(|domain| self.model[domain].ac);
        let lines: FxHashSet<GroupId> =
            self.edges().filter(|(_, edge)| edge.role.drives() && is_ac(edge.b)).map(|(_, edge)| lumps.of(edge.b)).collect();
        let mut found = inputs;
        found.retain(|index| {
            let Some(edge) = self.graph.edge_weight(EdgeIndex::new(*index)) else { return false };
            is_ac(edge.a) && is_ac(edge.b) && lines.contains(&lumps.of(edge.b)) && !lines.contains(&lumps.of(edge.a))
        });
        found
    }
}
