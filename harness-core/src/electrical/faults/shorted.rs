//! Which points are shorted: every point to the return of its domain, and every load across its terminals.
//!
//! The first shows what the feed of a point is; the second drives the current through feed and return, as a fault in the
//! device at the end of a loom does.

use crate::{
    circuit::{BranchKind, Circuit, ports::Shorts},
    electrical::{ModeState, Protection},
    model::{DomainId, PointId, PointKind},
    network::{Domains, Edge, EdgeId, EdgeRole, Network},
    quantity::Volt,
    vocabulary::{Reference, Role},
};
use rustc_hash::FxHashMap;

/// Where the returns of the domains are in one mode.
pub(super) struct Returns<'a> {
    domains: &'a Domains,
    protection: &'a Protection,
    /// Per island and domain, and per island alone: the points to which a fault of it may be bolted, sorted.
    points: FxHashMap<(u32, Option<DomainId>), Vec<PointId>>,
    /// The negative poles of those for which the chassis is taken, sorted: more flows there than by way of the chassis.
    poles: FxHashMap<(u32, Option<DomainId>), Vec<PointId>>,
    /// The highest positive poles of sources without a limit, per island and domain, sorted.
    tops: FxHashMap<(u32, Option<DomainId>), Vec<PointId>>,
}

/// Voltages that differ by less are one: rounding of the solver.
const SAME_VOLTS: f64 = 1e-6;

impl<'a> Returns<'a> {
    /// Finds the negative poles of each island and domain that are grounds, or the lowest where none is; for domains that are on
    /// the chassis or earth, each piece of chassis that is part of the island, and the poles as [`poles_of`](Self::poles_of).
    pub(super) fn new(
        network: &Network,
        domains: &'a Domains,
        protection: &'a Protection,
        state: &ModeState,
        circuit: &Circuit,
        shorts: &Shorts<'_>,
    ) -> Self {
        let model = network.model();
        let mut points: FxHashMap<(u32, Option<DomainId>), Vec<PointId>> = FxHashMap::default();
        // A battery is preferred to what only charges it: its pole is where a fault current comes home.
        for charges in [false, true] {
            let mut poles: FxHashMap<(u32, Option<DomainId>), Vec<PointId>> = FxHashMap::default();
            for ((_, edge), branch) in network.edges().zip(&circuit.branches) {
                let BranchKind::Source { limit, .. } = branch.kind else { continue };
                if limit.is_some() != charges {
                    continue;
                }
                let island = shorts.island(branch.from);
                for domain in [domains.of(edge.a), None] {
                    poles.entry((island, domain)).or_default().push(edge.a);
                }
            }
            for (key, mut poles) in poles {
                let is_ground = |point: &PointId| protection.grounds(*point);
                if poles.iter().any(is_ground) {
                    poles.retain(is_ground);
                } else {
                    let lowest = poles.iter().map(|pole| state.volts(*pole)).fold(Volt::new(f64::MAX), Volt::min);
                    poles.retain(|pole| state.volts(*pole) <= lowest + Volt::new(SAME_VOLTS));
                }
                poles.sort_unstable();
                poles.dedup();
                points.entry(key).or_insert(poles);
            }
        }
        // All points of one piece are within a tenth of a milliohm of its first.
        let chassis: Vec<PointId> = model
            .devices()
            .filter(|(_, device)| device.chassis)
            .filter_map(|(_, device)| model.points_of(device).next())
            .collect();
        let mut replaced: FxHashMap<(u32, Option<DomainId>), Vec<PointId>> = FxHashMap::default();
        for ((island, domain), points) in &mut points {
            let on_chassis =
                domain.is_some_and(|domain| matches!(model[domain].reference, Reference::Chassis | Reference::Earth));
            let there = chassis.iter().filter(|chassis| shorts.island(chassis.index() as u32) == *island);
            let there: Vec<PointId> = there.copied().collect();
            if on_chassis && !there.is_empty() {
                replaced.insert((*island, *domain), std::mem::replace(points, there));
            }
        }
        let mut tops: FxHashMap<(u32, Option<DomainId>), Vec<PointId>> = FxHashMap::default();
        for ((_, edge), branch) in network.edges().zip(&circuit.branches) {
            if let BranchKind::Source { limit: None, .. } = branch.kind {
                tops.entry((shorts.island(branch.to), domains.of(edge.b))).or_default().push(edge.b);
            }
        }
        for poles in tops.values_mut() {
            let highest = poles.iter().map(|pole| state.volts(*pole)).fold(Volt::new(f64::MIN), Volt::max);
            poles.retain(|pole| state.volts(*pole) >= highest - Volt::new(SAME_VOLTS));
            poles.sort_unstable();
            poles.dedup();
        }
        Self { domains, protection, points, poles: replaced, tops }
    }

    /// The points to which a fault of `point` may be bolted; none where no source feeds it.
    pub(super) fn of(&self, point: PointId, shorts: &Shorts<'_>) -> &[PointId] {
        let island = shorts.island(point.index() as u32);
        let own = self.domains.of(point).and_then(|domain| self.points.get(&(island, Some(domain))));
        own.or_else(|| self.points.get(&(island, None))).map_or(&[], Vec::as_slice)
    }
}

/// Where a pole inside a device can be reached: the nearest of its terminals to which a shunt, a link, a fuse or a closed contact leads; the pole
/// itself where none does, as that of a pack with its contactors open.
pub(super) fn outer(network: &Network, state: &ModeState, pole: PointId) -> PointId {
    let model = network.model();
    if !matches!(model[pole].kind, PointKind::Node(_)) {
        return pole;
    }
    let is_terminal = |point: PointId| matches!(model[point].kind, PointKind::Pin(_) | PointKind::Stud(_));
    let keep = |id: EdgeId, edge: &Edge| {
        edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode && edge.element().is_some() && state.conducts(id)
    };
    let steps = network.path(pole, is_terminal, keep);
    steps.and_then(|steps| steps.last().map(|step| step.point)).unwrap_or(pole)
}

impl Returns<'_> {
    /// The highest positive poles: what a fuse in the return, or in a lead from the middle of a string, may be shorted to.
    pub(super) fn tops_of(&self, point: PointId, shorts: &Shorts<'_>) -> &[PointId] {
        let island = shorts.island(point.index() as u32);
        self.tops.get(&(island, self.domains.of(point))).map_or(&[], Vec::as_slice)
    }

    /// The negative poles themselves where a chassis is the return of `point`; none for a point of the ground, between which and a pole
    /// only the shift of that ground is.
    pub(super) fn poles_of(&self, point: PointId, shorts: &Shorts<'_>) -> &[PointId] {
        if self.protection.grounds(point) {
            return &[];
        }
        let island = shorts.island(point.index() as u32);
        let own = self.domains.of(point).and_then(|domain| self.poles.get(&(island, Some(domain))));
        own.map_or(&[], Vec::as_slice)
    }
}

/// The two terminals of every load, coil and converter input, and of every device of which only its supply and return pins are
/// known. A coil whose resistance is given limits its own current: what it may come to carry then is not a short.
pub(super) fn terminals(network: &Network) -> Vec<(PointId, PointId)> {
    let model = network.model();
    let mut pairs = Vec::new();
    let limits_itself = |edge: &Edge| edge.element().is_some_and(|element| model[element].kind.coil_resistance().is_some());
    let draws = network.edges().filter(|(_, edge)| edge.role.draws() && !limits_itself(edge));
    pairs.extend(draws.map(|(_, edge)| (edge.a, edge.b)));
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
