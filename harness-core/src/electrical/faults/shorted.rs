//! Which points are shorted: every point to the return of its domain, and every load across its terminals.
//!
//! The first shows what the feed of a point stands; the second drives the current through feed and return, as a fault in the
//! device at the end of a loom does.

use crate::{
    circuit::{BranchKind, Circuit, ports::Shorts},
    electrical::ModeState,
    model::{DomainId, PointId},
    network::{Domains, Network},
    vocabulary::{Reference, Role},
};
use rustc_hash::FxHashMap;

/// Where the returns of the domains lie in one mode.
pub(super) struct Returns<'a> {
    domains: &'a Domains,
    /// Per island and domain, and per island alone: the point to which a fault of it is bolted.
    points: FxHashMap<(u32, Option<DomainId>), PointId>,
}

impl<'a> Returns<'a> {
    /// Finds the lowest negative pole of each island and domain; for domains that stand on the chassis or earth, the chassis
    /// where it is part of the island.
    pub(super) fn new(
        network: &Network,
        domains: &'a Domains,
        state: &ModeState,
        circuit: &Circuit,
        shorts: &Shorts<'_>,
    ) -> Self {
        let model = network.model();
        let mut points: FxHashMap<(u32, Option<DomainId>), PointId> = FxHashMap::default();
        // A battery goes before what only charges it: its pole is where a fault current comes home.
        for charges in [false, true] {
            let mut lowest: FxHashMap<(u32, Option<DomainId>), PointId> = FxHashMap::default();
            for ((_, edge), branch) in network.edges().zip(&circuit.branches) {
                let BranchKind::Source { limit, .. } = branch.kind else { continue };
                if limit.is_some() != charges {
                    continue;
                }
                let island = shorts.island(branch.from);
                for domain in [domains.of(edge.a), None] {
                    let lowest = lowest.entry((island, domain)).or_insert(edge.a);
                    if state.volts(edge.a) < state.volts(*lowest) {
                        *lowest = edge.a;
                    }
                }
            }
            for (key, point) in lowest {
                points.entry(key).or_insert(point);
            }
        }
        let chassis: Vec<PointId> = model
            .devices()
            .filter(|(_, device)| device.chassis)
            .flat_map(|(_, device)| device.ports.iter())
            .filter_map(|port| model[port].points.get(0))
            .collect();
        for ((island, domain), point) in &mut points {
            let on_chassis =
                domain.is_some_and(|domain| matches!(model[domain].reference, Reference::Chassis | Reference::Earth));
            let there = chassis.iter().find(|chassis| shorts.island(chassis.index() as u32) == *island);
            if let (true, Some(there)) = (on_chassis, there) {
                *point = *there;
            }
        }
        Self { domains, points }
    }

    /// The point to which a fault of `point` is bolted; `None` where no source feeds it.
    pub(super) fn of(&self, point: PointId, shorts: &Shorts<'_>) -> Option<PointId> {
        let island = shorts.island(point.index() as u32);
        let own = self.domains.of(point).and_then(|domain| self.points.get(&(island, Some(domain))));
        own.or_else(|| self.points.get(&(island, None))).copied()
    }
}

/// The two terminals of every load, coil and converter input, and of every device of which only its supply and return pins are
/// known.
pub(super) fn terminals(network: &Network) -> Vec<(PointId, PointId)> {
    let model = network.model();
    let mut pairs = Vec::new();
    pairs.extend(network.edges().filter(|(_, edge)| edge.role.draws()).map(|(_, edge)| (edge.a, edge.b)));
    for (_, device) in model.devices() {
        let points = || device.ports.iter().flat_map(|port| model[port].points.iter());
        let pins = |wanted: Role| {
            points().filter_map(move |point| {
                let pin = &model[model[point].pin?];
                (pin.role?.value == wanted).then_some((point, pin.domain?.0))
            })
        };
        for (supply, domain) in pins(Role::Supply) {
            let bare = network.around(supply).all(|(_, edge, _)| edge.element().is_none());
            let back = pins(Role::Return).find(|(_, of)| *of == domain);
            if let (true, Some((back, _))) = (bare, back) {
                pairs.push((supply, back));
            }
        }
    }
    pairs
}
