//! Which metal reaches the chassis, and over which conductors each earth point does.

use super::{BondedBox, EarthPoint, RestsOn, Way, bonds_metal, domain_at, is_live, is_with_live, isolators::isolators, size_of};
use crate::{
    electrical::conductors::{conductor::resistance_of, joint::joint},
    model::{DeviceId, DomainId, PointId},
    network::{Components, Domains, Edge, EdgeId, GroupId, Network, Step},
    quantity::Ohm,
    standards::bonding::least_size,
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::{cell::RefCell, collections::hash_map::Entry};

/// Which metal reaches the chassis: by itself, or through the case of a box.
pub(super) struct Reach<'a> {
    network: &'a Network,
    isolators: FxHashSet<EdgeId>,
    groups: Components,
    /// Per group that reaches the chassis: `None` where it does so by itself, else the box whose case it goes on through.
    by: FxHashMap<GroupId, Option<DeviceId>>,
    /// The conductive boxes at which each group has an earth point.
    cases: FxHashMap<GroupId, Vec<(DeviceId, PointId)>>,
    /// The boxes of the earth points from which no bond of another box may go on: those that can be taken out while the other stays live,
    /// which a box that only distributes and protects can't.
    removable: FxHashMap<PointId, (DeviceId, PointId)>,
    /// The boxes with a source or the output of a converter inside, by its domain.
    drivers: FxHashMap<Option<DomainId>, FxHashSet<DeviceId>>,
    /// What closed conductors join without a box, and with all of them, once it was asked.
    without: RefCell<FxHashMap<Option<DeviceId>, Components>>,
}

impl<'a> Reach<'a> {
    pub(super) fn new(network: &'a Network, domains: &Domains, boxes: &[BondedBox], goals: &[PointId]) -> Self {
        let model = network.model();
        let isolators = isolators(network);
        let groups = network.components(|id, edge| bonds_metal(model, edge) || isolators.contains(&id));
        let mut by: FxHashMap<GroupId, Option<DeviceId>> = goals.iter().map(|goal| (groups.of(*goal), None)).collect();
        let mut cases: FxHashMap<GroupId, Vec<(DeviceId, PointId)>> = FxHashMap::default();
        // Step by step, so that a group goes on through the nearest case.
        let mut reached: Vec<GroupId> = by.keys().copied().collect();
        let conductive = || boxes.iter().filter(|one| one.is_conductive());
        for one in conductive() {
            for earth in &one.earths {
                cases.entry(groups.of(earth.point)).or_default().push((one.device, earth.point));
            }
            if one.is_mounted() {
                reached.extend(one.earths.iter().map(|earth| groups.of(earth.point)));
                for earth in &one.earths {
                    by.entry(groups.of(earth.point)).or_insert(Some(one.device));
                }
            }
        }
        reached.sort_unstable();
        let of: FxHashMap<DeviceId, &BondedBox> = conductive().map(|one| (one.device, one)).collect();
        let mut next = 0;
        while let Some(group) = reached.get(next).copied() {
            next += 1;
            for (device, _) in cases.get(&group).into_iter().flatten() {
                for earth in of.get(device).into_iter().flat_map(|one| &one.earths) {
                    let other = groups.of(earth.point);
                    if let Entry::Vacant(slot) = by.entry(other) {
                        slot.insert(Some(*device));
                        reached.push(other);
                    }
                }
            }
        }
        let removable = conductive().filter(|one| !one.is_switchgear && !one.is_mounted());
        let mut at: FxHashMap<PointId, (DeviceId, PointId)> = FxHashMap::default();
        for (point, device) in removable.flat_map(|one| one.earths.iter().map(|earth| (earth.point, one.device))) {
            at.insert(point, (device, point));
            // Two wires under one screw meet in their own end.
            let places = network.around(point).filter(|(_, edge, _)| edge.role.is_place());
            at.extend(places.map(|(_, _, end)| (end, (device, point))));
        }
        let mut drivers: FxHashMap<Option<DomainId>, FxHashSet<DeviceId>> = FxHashMap::default();
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            if let Some(device) = model.device_at(edge.b) {
                drivers.entry(domains.of(edge.b)).or_default().insert(device);
            }
        }
        Self { network, isolators, groups, by, cases, removable: at, drivers, without: RefCell::default() }
    }

    /// Whether an edge leads a protective earth on: metal, or a galvanic isolator.
    fn bonds(&self, id: EdgeId, edge: &Edge) -> bool {
        bonds_metal(self.network.model(), edge) || self.isolators.contains(&id)
    }

    /// Finds the way of each earth point.
    pub(super) fn fill(&self, boxes: &mut [BondedBox], goals: &[PointId]) {
        let goals: FxHashSet<PointId> = goals.iter().copied().collect();
        for one in boxes {
            let device = one.device;
            for earth in &mut one.earths {
                earth.way = self.way(device, earth, &goals);
                earth.metal = self.groups.first(self.groups.of(earth.point));
            }
        }
    }

    /// Marks the earth points that are joined to one of these shields.
    pub(super) fn mark_shielded(&self, boxes: &mut [BondedBox], shields: &[PointId]) {
        let groups: FxHashSet<GroupId> = shields.iter().map(|shield| self.groups.of(*shield)).collect();
        for earth in boxes.iter_mut().flat_map(|one| &mut one.earths) {
            earth.is_at_shield = groups.contains(&self.groups.of(earth.point));
        }
    }

    fn way(&self, device: DeviceId, earth: &EarthPoint, goals: &FxHashSet<PointId>) -> Option<Way> {
        let group = self.groups.of(earth.point);
        let through = *self.by.get(&group)?;
        if through == Some(device) {
            // It is the case itself that joins this point to the chassis.
            return None;
        }
        let (steps, rests_on) = match through {
            None => self.own_way(device, earth, goals)?,
            Some(other) => {
                let ends: Vec<PointId> = self
                    .cases
                    .get(&group)
                    .into_iter()
                    .flatten()
                    .filter(|(of, _)| *of == other)
                    .map(|(_, point)| *point)
                    .collect();
                let steps = self.thickest_path(earth, |point| ends.contains(&point))?;
                let point = steps.last().map_or(earth.point, |step| step.point);
                (
                    steps,
                    Some(RestsOn {
                        device: other,
                        point,
                        is_with_live: is_with_live(self.network.model(), point),
                        goes_on: false,
                    }),
                )
            }
        };
        let resistance = Ohm::new(steps.iter().map(|step| self.ohms(step)).sum());
        Some(Way { steps, rests_on, resistance })
    }

    /// A way over metal alone; if each of them leads over an earth point of another box, such as the stud on which two rings sit, with
    /// that box.
    fn own_way(&self, device: DeviceId, earth: &EarthPoint, goals: &FxHashSet<PointId>) -> Option<(Vec<Step>, Option<RestsOn>)> {
        let is_goal = |point| goals.contains(&point);
        let other_at = |point: PointId| {
            let (other, earth) = *self.removable.get(&point).filter(|(other, _)| *other != device)?;
            (!is_goal(point) && !self.is_dead_without(device, other)).then_some((other, earth))
        };
        let steps = self.thickest_path(earth, is_goal)?;
        let Some((other, point)) = steps.iter().find_map(|step| other_at(step.point)) else {
            return Some((steps, None));
        };
        let model = self.network.model();
        let past = self.network.path(earth.point, is_goal, |id, edge| {
            self.bonds(id, edge) && other_at(edge.a).is_none() && other_at(edge.b).is_none()
        });
        Some(match past {
            Some(past) => (past, None),
            None => (steps, Some(RestsOn { device: other, point, is_with_live: is_with_live(model, point), goes_on: true })),
        })
    }

    /// Whether nothing is live in a box when another one is taken out: it has no source of its own, and its conductors of class B lead to
    /// that one alone, or are of a domain that nothing else drives.
    fn is_dead_without(&self, device: DeviceId, other: DeviceId) -> bool {
        let model = self.network.model();
        if self.drivers.values().any(|drivers| drivers.contains(&device)) {
            return false;
        }
        let mut live = model.points_of(&model[device]).filter(|point| is_live(model, *point));
        live.all(|point| {
            let drivers = self.drivers.get(&domain_at(model, point));
            if drivers.is_some_and(|drivers| drivers.len() == 1 && drivers.contains(&other)) {
                return true;
            }
            let members = self.groups.members(self.groups.of(point));
            let mut at = members.iter().filter_map(|member| model.device_at(*member));
            at.all(|at| at == device || at == other) || self.is_fed_by_it_alone(point, other)
        })
    }

    /// Whether sources reach a point with all contacts closed, and none does once a box is taken out.
    fn is_fed_by_it_alone(&self, point: PointId, other: DeviceId) -> bool {
        self.is_fed_without(point, None) && !self.is_fed_without(point, Some(other))
    }

    fn is_fed_without(&self, point: PointId, out: Option<DeviceId>) -> bool {
        let (model, network) = (self.network.model(), self.network);
        let is_in = |point: PointId| out.is_none() || model.device_at(point) != out;
        let mut without = self.without.borrow_mut();
        let left = without
            .entry(out)
            .or_insert_with(|| network.components(|_, edge| edge.role.conducts_when_closed() && is_in(edge.a) && is_in(edge.b)));
        let mut drivers = network.edges().filter(|(_, edge)| edge.role.drives() && is_in(edge.a) && is_in(edge.b));
        drivers.any(|(_, edge)| [edge.a, edge.b].iter().any(|pole| left.of(*pole) == left.of(point)))
    }

    /// The shortest way over conductors that are thick enough; the shortest of all where there is none.
    fn thickest_path(&self, earth: &EarthPoint, goal: impl Fn(PointId) -> bool) -> Option<Vec<Step>> {
        let (network, model) = (self.network, self.network.model());
        let least = earth.live.map(|(live, _)| least_size(live).value);
        let thick = |edge: &Edge| size_of(model, edge).zip(least).is_none_or(|(size, least)| size >= least);
        let over =
            |thick_only: bool| network.path(earth.point, &goal, |id, edge| self.bonds(id, edge) && (!thick_only || thick(edge)));
        over(true).or_else(|| over(false))
    }

    fn ohms(&self, step: &Step) -> f64 {
        let (model, edge) = (self.network.model(), &self.network[step.edge]);
        edge.wire().map_or_else(|| joint(model, edge).map_or(0.0, Ohm::get), |wire| resistance_of(model, &model[wire]).get())
    }
}
