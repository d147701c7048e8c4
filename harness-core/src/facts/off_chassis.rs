//! Sources of a domain whose reference is the chassis, and whose negative pole reaches none.
//!
//! The idea: what is joined to the negative pole past closed contacts, fuses and shunts holds a place of the chassis, or the returns of its loads
//! look for another way. Asked only where something of the design is on the chassis: a small drawing may leave the chassis out.
//!
//! Cost: nothing where no domain has the chassis as its reference; else a pass over edges and points.

use super::{Facts, pins::OTHER};
use crate::{
    model::{DomainId, ElementId, PointId},
    network::{EdgeRole, GroupId},
    vocabulary::{Reference, Role},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Such sources, in the order of their edges.
    ///
    /// Asked by `domain/off-chassis`.
    #[must_use]
    pub fn off_chassis(&self) -> &[OffChassis] {
        self.made.off_chassis.get_or_init(|| off_chassis(self))
    }
}

/// A source whose negative pole reaches no chassis.
#[derive(Debug, Clone, Copy)]
pub struct OffChassis {
    /// The source or converter.
    pub source: ElementId,
    /// Its negative pole.
    pub pole: PointId,
    /// Its domain.
    pub domain: DomainId,
    /// Something of the same domain that is on the chassis.
    pub on_it: Option<PointId>,
}

fn off_chassis(facts: &Facts) -> Vec<OffChassis> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    // What is of class B is isolated, and `domain/chassis-tied` says so.
    let is_asked =
        |domain: DomainId| model[domain].reference == Reference::Chassis && !model[domain].ac && !model[domain].is_class_b();
    if !model.domains().any(|(id, _)| is_asked(id)) {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode);
    let is_metal = |point: PointId| model.device_at(point).is_some_and(|device| model[device].chassis && model[device].fitted);
    let metal: Vec<PointId> = model.points().map(|(point, _)| point).filter(|point| is_metal(*point)).collect();
    let chassis: FxHashSet<GroupId> = metal.iter().map(|point| lumps.of(*point)).collect();
    // Something that a wire joins to the chassis.
    let is_used =
        model.points().any(|(point, _)| chassis.contains(&lumps.of(point)) && !is_metal(point) && model.role_at(point).is_some());
    if !is_used {
        return Vec::new();
    }
    let tops: FxHashSet<GroupId> =
        network.edges().filter(|(_, edge)| edge.role.drives()).map(|(_, edge)| lumps.of(edge.b)).collect();
    // What feeds nothing may stay loose.
    let loads: FxHashSet<GroupId> =
        network.edges().filter(|(_, edge)| edge.role.draws()).map(|(_, edge)| lumps.of(edge.a)).collect();
    let reversed: FxHashSet<ElementId> =
        facts.reversed_sources().iter().flat_map(|reversed| reversed.sources.iter().copied()).collect();
    let on_it = |domain: DomainId| {
        let mut points = model.points().filter(|(point, item)| {
            item.pin.is_some_and(|pin| model[pin].domain.is_some_and(|(own, _)| own == domain))
                && chassis.contains(&lumps.of(*point))
        });
        points.next().map(|(point, _)| point)
    };
    // Loads that find no way back are a fault of their own, which names the same conductor.
    let mut lost: FxHashSet<DomainId> = FxHashSet::default();
    for mode in facts.electrical().modes() {
        lost.extend(mode.no_return.iter().filter_map(|load| domains.of(network[*load].a)));
    }
    let found = network.edges().filter(|(_, edge)| edge.role.drives()).filter_map(|(_, edge)| {
        let (source, domain) =
            (edge.element()?, domains.of(edge.b).filter(|domain| is_asked(*domain) && !lost.contains(domain))?);
        // What is above another source has that one's reference, and a supply of sensors has a return of its own.
        let is_supply = model[source].kind.open_voltage()?.get() < OTHER * model[domain].nominal.get();
        let role = model.role_at(edge.a);
        let other_reference = domains.of(edge.a).is_some_and(|own| own != domain);
        if reversed.contains(&source) || !loads.contains(&lumps.of(edge.b)) {
            return None;
        }
        if tops.contains(&lumps.of(edge.a)) || is_supply || role == Some(Role::SensorReturn) || other_reference {
            return None;
        }
        let is_on = chassis.contains(&lumps.of(edge.a));
        (!is_on).then(|| OffChassis { source, pole: edge.a, domain, on_it: on_it(domain) })
    });
    found.collect()
}
