//! Sources of alternating voltage that conductors join at both poles in one mode: they are out of step, or of different phases.
//!
//! Cost: nothing with fewer than two such sources; else a search of the network for each mode.

use super::Facts;
use crate::{
    model::{ElementId, ModeId},
    network::{Edge, EdgeId, GroupId},
};
use std::collections::BTreeMap;

impl Facts {
    /// Groups of such sources, by their first source.
    ///
    /// Asked by `netlist/parallel-mains`. Cost: as above, each time.
    #[must_use]
    pub fn parallel_mains(&self) -> Vec<ParallelMains> {
        parallel_mains(self)
    }
}

/// Sources that are joined at both poles.
#[derive(Debug)]
pub struct ParallelMains {
    /// The edges of the sources, at least two, in order.
    pub edges: Vec<EdgeId>,
    /// The same as elements.
    pub sources: Vec<ElementId>,
    /// The modes in which they are.
    pub modes: Vec<ModeId>,
    /// Whether one of them is a converter, which may keep step with the other.
    pub may_keep_step: bool,
    /// Whether all of them are sources of one device: lines of one supply.
    pub is_one_supply: bool,
}

fn parallel_mains(facts: &Facts) -> Vec<ParallelMains> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let is_ac = |edge: &Edge| domains.of(edge.b).or(domains.of(edge.a)).is_some_and(|domain| model[domain].ac);
    let sources: Vec<(EdgeId, Edge, ElementId)> = network
        .edges()
        .filter(|(_, edge)| edge.role.drives() && is_ac(edge))
        .filter_map(|(id, edge)| Some((id, *edge, edge.element()?)))
        .collect();
    if sources.len() < 2 {
        return Vec::new();
    }
    let mut found: BTreeMap<Vec<EdgeId>, Vec<ModeId>> = BTreeMap::new();
    for mode in facts.electrical().modes_as_written() {
        let lumps = network.components(|id, edge| edge.role.conducts_when_closed() && mode.conducts(id));
        let mut by_poles: BTreeMap<[GroupId; 2], Vec<EdgeId>> = BTreeMap::new();
        for (id, edge, _) in sources.iter().filter(|(id, ..)| mode.conducts(*id)) {
            let mut poles = [lumps.of(edge.a), lumps.of(edge.b)];
            poles.sort_unstable();
            // One that is shorted is reported as that.
            if poles[0] != poles[1] {
                by_poles.entry(poles).or_default().push(*id);
            }
        }
        for group in by_poles.into_values().filter(|group| group.len() > 1) {
            found.entry(group).or_default().push(mode.id);
        }
    }
    let made = found.into_iter().map(|(edges, modes)| {
        let of: Vec<ElementId> = edges.iter().filter_map(|id| network[*id].element()).collect();
        let owner = |element: &ElementId| model[*element].owner;
        ParallelMains {
            may_keep_step: edges.iter().any(|id| !network[*id].role.is_source()),
            is_one_supply: of.iter().all(|element| of.first().is_some_and(|first| owner(first) == owner(element))),
            sources: of,
            edges,
            modes,
        }
    });
    made.collect()
}
