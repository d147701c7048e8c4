//! Networks whose pins are not all on one bus.

use super::lines::is_wired;
use crate::{
    facts::Facts,
    model::{NetworkId, PointId},
    vocabulary::Role,
};
use std::collections::BTreeMap;

/// A network in several pieces.
#[derive(Debug, Clone)]
pub struct SplitNetwork {
    /// The network.
    pub network: NetworkId,
    /// Its wired pins by the bus that they are on, by its place among the buses; `None` for those that reach no other node.
    pub pieces: BTreeMap<Option<usize>, Vec<PointId>>,
}

/// All of them, in the order of the networks. A pin without a wire is a fault of its own, and so is a bus of two networks.
pub(super) fn split_networks(facts: &Facts) -> Vec<SplitNetwork> {
    let (model, network) = (facts.model(), facts.network());
    if model.networks().next().is_none() {
        return Vec::new();
    }
    let mut by_net = BTreeMap::new();
    for (index, bus) in facts.buses().iter().enumerate() {
        by_net.extend(bus.first.iter().chain(&bus.second).map(|net| (*net, index)));
    }
    let wired = |point: PointId| is_wired(network, point);
    let mut found: BTreeMap<NetworkId, BTreeMap<Option<usize>, Vec<PointId>>> = BTreeMap::new();
    for (point, _) in model.points().filter(|(point, _)| model.is_fitted(*point) && wired(*point)) {
        let Some(pin) = model.pin_at(point) else { continue };
        // The screen of a bus and its ground are not lines of it.
        let is_line =
            pin.role.is_none_or(|role| role.value != Role::Screen && !role.value.takes_back() && !role.value.gives_supply());
        let Some((id, _)) = pin.network.filter(|_| is_line) else { continue };
        let bus = by_net.get(&network.net(point)).copied();
        if bus.and_then(|bus| facts.buses().get(bus)).is_some_and(|bus| bus.named.len() > 1) {
            continue;
        }
        found.entry(id).or_default().entry(bus).or_default().push(point);
    }
    for pieces in found.values_mut() {
        join_pairs(facts, pieces);
    }
    let several = found.into_iter().filter(|(_, pieces)| pieces.len() > 1);
    several.map(|(network, pieces)| SplitNetwork { network, pieces }).collect()
}

/// A network of two pairs, one that sends and one that receives, has the same nodes on both: those are one piece.
fn join_pairs(facts: &Facts, pieces: &mut BTreeMap<Option<usize>, Vec<PointId>>) {
    let bus = |index: &usize| facts.buses().get(*index).filter(|bus| bus.is_other_pair);
    let Some((first, one)) = pieces.keys().flatten().find_map(|index| Some((*index, bus(index)?))) else { return };
    let has = |device| one.nodes.iter().any(|node| node.device == device);
    let is_beside = |index: &usize| {
        *index != first && bus(index).is_some_and(|other| other.nodes.iter().filter(|node| has(node.device)).count() > 1)
    };
    let beside: Vec<usize> = pieces.keys().copied().flatten().filter(is_beside).collect();
    for index in beside {
        let points = pieces.remove(&Some(index)).unwrap_or_default();
        pieces.entry(Some(first)).or_default().extend(points);
    }
}
