//! Galvanic isolators: diodes in a protective earth that conduct both ways, which block the small voltages of corrosion and pass a fault current.

use crate::network::{EdgeId, EdgeRole, GroupId, Network};
use petgraph::{
    algo::tarjan_scc,
    graph::{DiGraph, NodeIndex},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// The diodes of such isolators: those that are on a ring of diodes, each turned the way of the next. Cost: a pass over the edges; a search of the
/// network where there are two diodes.
pub(super) fn isolators(network: &Network) -> FxHashSet<EdgeId> {
    let is_diode = |role: EdgeRole| role == EdgeRole::Diode;
    let diodes = || network.edges().filter(|(_, edge)| is_diode(edge.role));
    if diodes().nth(1).is_none() {
        return FxHashSet::default();
    }
    let metal = network.components(|_, edge| edge.is_metal());
    let mut graph: DiGraph<GroupId, ()> = DiGraph::new();
    let mut nodes: FxHashMap<GroupId, NodeIndex> = FxHashMap::default();
    for (_, edge) in diodes() {
        let [from, to] = [edge.a, edge.b].map(|point| {
            let group = metal.of(point);
            *nodes.entry(group).or_insert_with(|| graph.add_node(group))
        });
        graph.add_edge(from, to, ());
    }
    let mut ring: FxHashMap<GroupId, usize> = FxHashMap::default();
    for (at, members) in tarjan_scc(&graph).into_iter().enumerate() {
        ring.extend(members.into_iter().filter_map(|node| Some((*graph.node_weight(node)?, at))));
    }
    let of = |point| ring.get(&metal.of(point));
    diodes().filter(|(_, edge)| edge.a != edge.b && of(edge.a) == of(edge.b)).map(|(id, _)| id).collect()
}
