//! Nodes of a bus that have no ground in common with the others.
//!
//! The idea: take the wires of the bus away. What still joins two nodes, through whatever conducts, is their common reference. A node of
//! which nothing but the bus is drawn has its supply elsewhere, and is not judged.

use super::{Bus, BusNode};
use crate::{
    facts::Facts,
    model::PointId,
    network::{Components, GroupId, NetId},
};
use rustc_hash::FxHashSet;

/// A node without a reference in common with the first ones of its bus.
#[derive(Debug, Clone)]
pub struct Unreferenced {
    /// The bus, by its place among the buses.
    pub bus: usize,
    /// The node, by its place in the bus.
    pub node: usize,
    /// A node that most others have a reference in common with, by its place in the bus.
    pub other: usize,
}

/// All of them.
pub(super) fn unreferenced(facts: &Facts) -> Vec<Unreferenced> {
    if facts.buses().is_empty() {
        return Vec::new();
    }
    let network = facts.network();
    let nets: FxHashSet<NetId> = facts.buses().iter().flat_map(|bus| bus.first.iter().chain(&bus.second).copied()).collect();
    let on_bus = |point: PointId| nets.contains(&network.net(point));
    let rest = network.components(|_, edge| !on_bus(edge.a) && !on_bus(edge.b));
    facts.buses().iter().enumerate().flat_map(|(index, bus)| of_bus(facts, index, bus, &rest, &on_bus)).collect()
}

fn of_bus(facts: &Facts, index: usize, bus: &Bus, rest: &Components, on_bus: &impl Fn(PointId) -> bool) -> Vec<Unreferenced> {
    let places: Vec<Vec<GroupId>> = bus.nodes.iter().map(|node| places(facts, node, rest, on_bus)).collect();
    let shares = |one: &[GroupId], other: &[GroupId]| one.iter().any(|group| other.contains(group));
    let drawn: Vec<usize> = (0..places.len()).filter(|node| places.get(*node).is_some_and(|own| !own.is_empty())).collect();
    let at = |node: usize| places.get(node).map_or(&[][..], Vec::as_slice);
    // The node that shares its ground with most others is the measure.
    let measure = drawn
        .iter()
        .copied()
        .max_by_key(|node| (drawn.iter().filter(|other| shares(at(*node), at(**other))).count(), std::cmp::Reverse(*node)));
    let Some(other) = measure else { return Vec::new() };
    let lost = drawn.into_iter().filter(|node| !shares(at(*node), at(other)) && !is_isolated(facts, bus, *node));
    lost.map(|node| Unreferenced { bus: index, node, other }).collect()
}

/// Where the wired points of a node are, other than on a bus.
fn places(facts: &Facts, node: &BusNode, rest: &Components, on_bus: &impl Fn(PointId) -> bool) -> Vec<GroupId> {
    let (model, network) = (facts.model(), facts.network());
    let wired = |point: &PointId| network.around(*point).next().is_some() && !on_bus(*point);
    let mut groups: Vec<GroupId> = model.points_of(&model[node.device]).filter(wired).map(|point| rest.of(point)).collect();
    groups.sort_unstable();
    groups.dedup();
    groups
}

/// Whether the node says that its bus is isolated from the rest of it.
fn is_isolated(facts: &Facts, bus: &Bus, node: usize) -> bool {
    let model = facts.model();
    let Some(node) = bus.nodes.get(node) else { return false };
    let ports: Vec<_> = node.first.iter().filter_map(|point| model.port_at(*point)).collect();
    model[node.device]
        .isolation
        .iter()
        .any(|item| ports.iter().any(|port| item.between.contains(port) || item.and.contains(port)))
}
