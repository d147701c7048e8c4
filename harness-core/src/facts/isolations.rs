//! What keeps voltage class A and B apart inside a box: what the box says of it (`isolation`), and what it doesn't.
//!
//! A port is of a class where one of its contacts is held at a domain of that class; the interlock loop, screens and protective earth are of none. Cost: a
//! pass over the points of the ports, where there is a domain of class B.

use super::Facts;
use crate::{
    model::{DeviceId, DomainId, ElementKind, Model, Owner, PointId, PortId, PortKind},
    standards::rated::{Duty, TooLow},
    text::Name,
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// What boxes with ports of both voltage classes say of their isolation, in the order of the devices.
    ///
    /// Asked by `domain/weak-isolation` and `review/missing-fact`.
    #[must_use]
    pub fn isolations(&self) -> &Isolations {
        self.made.isolations.get_or_init(|| isolations(self))
    }
}

/// What is said, and what is not.
#[derive(Debug, Default)]
pub struct Isolations {
    /// Boxes that do not say what isolates some of their ports.
    pub unsaid: Vec<Unsaid>,
    /// What is said and is too low.
    pub weak: Vec<WeakIsolation>,
    /// Boxes that say what isolates their ports and not to which voltage, with the place of it in their list.
    pub untested: Vec<(DeviceId, usize)>,
}

/// Ports of one box between which nothing says what isolates them.
#[derive(Debug)]
pub struct Unsaid {
    /// The box.
    pub device: DeviceId,
    /// Its ports of class B.
    pub high: Vec<PortId>,
    /// Those of class A that nothing separates from one of them.
    pub low: Vec<PortId>,
}

/// Isolation for less than the voltage at its sides.
#[derive(Debug)]
pub struct WeakIsolation {
    /// The box.
    pub device: DeviceId,
    /// Its place in the list of the box.
    pub item: usize,
    /// The highest domain at either side.
    pub domain: DomainId,
    /// How it falls short.
    pub short: TooLow,
}

fn isolations(facts: &Facts) -> Isolations {
    let model = facts.model();
    let mut found = Isolations::default();
    if !model.domains().any(|(_, domain)| domain.is_class_b()) {
        return found;
    }
    let is_bridge = |kind: &ElementKind| matches!(kind, ElementKind::Interlock { .. });
    let bridges: FxHashSet<PointId> = model
        .elements()
        .filter(|(_, element)| matches!(element.owner, Owner::Device(_)) && is_bridge(&element.kind))
        .flat_map(|(_, element)| element.points.iter().copied())
        .collect();
    for (id, device) in model.devices().filter(|(_, device)| device.fitted && !device.chassis) {
        let domains = |port: PortId| domains_at(facts, &bridges, port);
        let of_class = |is_b: bool| -> Vec<PortId> {
            device.ports.iter().filter(|port| domains(*port).iter().any(|domain| model[*domain].is_class_b() == is_b)).collect()
        };
        let (high, low) = (of_class(true), of_class(false));
        let is_said = |one: PortId, other: PortId| {
            device.isolation.iter().any(|item| {
                let joins = |a: PortId, b: PortId| item.between.contains(&a) && item.and.contains(&b);
                // A plug with contacts of both classes is named on either side.
                joins(one, other) || joins(other, one) || one == other && (item.between.contains(&one) || item.and.contains(&one))
            })
        };
        let open: Vec<PortId> = low.into_iter().filter(|low| !high.iter().all(|high| is_said(*high, *low))).collect();
        if !high.is_empty() && !open.is_empty() {
            found.unsaid.push(Unsaid { device: id, high, low: open });
        }
        for (at, item) in device.isolation.iter().enumerate() {
            let sides = item.between.iter().chain(&item.and).flat_map(|port| domains(*port));
            let highest = sides.max_by(|a, b| model[*a].max.get().total_cmp(&model[*b].max.get()).then(b.cmp(a)));
            let Some(domain) = highest.filter(|domain| model[*domain].is_class_b()) else { continue };
            match item.voltage {
                None => found.untested.push((id, at)),
                Some(voltage) => {
                    let short = voltage.value.falls_short(model[domain].service(), Duty::Insulates);
                    found.weak.extend(short.map(|short| WeakIsolation { device: id, item: at, domain, short }));
                }
            }
        }
    }
    found
}

/// The domains at which the contacts of a port are held.
fn domains_at(facts: &Facts, bridges: &FxHashSet<PointId>, port: PortId) -> Vec<DomainId> {
    let model = facts.model();
    let interlock = interlock_of(model, port);
    let of_loop = |point: PointId| bridges.contains(&point) || interlock.contains(&model[point].label);
    // The signal contacts of a charging inlet are beside the mains by its standard.
    let of_none = |role: Role| matches!(role, Role::Interlock | Role::Screen | Role::Earth | Role::Pilot | Role::Proximity);
    let counts = |point: &PointId| !of_loop(*point) && !model.role_at(*point).is_some_and(of_none);
    let held = model[port].points.iter().filter(counts);
    let mut domains: Vec<DomainId> = held.filter_map(|point| facts.potentials().of(point)?.domain()).collect();
    domains.sort_unstable();
    domains.dedup();
    domains
}

/// The contacts of a port that its housing lists as those of the interlock loop.
fn interlock_of(model: &Model, port: PortId) -> &[Name] {
    match model[port].kind {
        PortKind::Connector(Some(housing)) => &model[housing].interlock,
        PortKind::Connector(None) | PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => &[],
    }
}
