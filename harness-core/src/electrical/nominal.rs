//! The voltage that each element is made for: its own where it gives one of another supply, that of its domain, or of the sensor supply that
//! feeds it.
//!
//! A control unit gives its sensors 5 V from the 12 V that it gets, and the pins of both are of the 12 V domain. A *sensor supply* is the
//! output of a converter or a source below the nominal voltage of its domain, at conductors that hold a pin of role `sensor supply`
//! or feed a load of kind `sensor`. What it feeds is made for its voltage, and so is what a converter feeds inside a box at a node alone.
//!
//! Cost: two passes over the edges and one over the points.

use crate::{
    arena::IdVec,
    model::{DomainId, ElementId, ElementKind, Model, Point, PointId, PointKind},
    network::{Domains, EdgeRole, GroupId, Network},
    quantity::Volt,
    standards::made_for::MadeFor,
    vocabulary::{LoadKind, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// Share of a domain's nominal voltage below which an output is a supply of its own.
const OWN: f64 = 0.9;

/// The voltage that an element is made for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nominal {
    /// The voltage.
    pub volts: Volt,
    /// The sensor supply that gives it; `None` where it is that of the domain.
    pub supply: Option<ElementId>,
}

/// The voltage that each element is made for; `None` where it gives none and no domain is joined to its first two points.
pub(super) fn nominals(network: &Network, domains: &Domains) -> IdVec<ElementId, Option<Nominal>> {
    let model = network.model();
    let of_domain = |points: &[PointId]| {
        let domain = points.iter().take(2).find_map(|point| domains.of(*point))?;
        Some((domain, model[domain].nominal)).filter(|(_, nominal)| *nominal > Volt::ZERO)
    };
    let supplies = Supplies::new(network, domains);
    let elements = model.elements().map(|(id, element)| {
        let found = of_domain(&element.points);
        // One that is made for another voltage keeps it wherever it is connected.
        let suits = |own: MadeFor| found.is_some_and(|(_, nominal)| own.suits(nominal));
        if let Some(own) = element.kind.made_for().map(|own| own.value).filter(|own| !suits(*own)) {
            return Some(Nominal { volts: found.map_or(own.most, |(_, nominal)| own.nearest(nominal)), supply: None });
        }
        let (domain, nominal) = found?;
        let own = supplies.as_ref().and_then(|supplies| supplies.of(model, id, (domain, nominal)));
        Some(own.unwrap_or(Nominal { volts: nominal, supply: None }))
    });
    elements.collect()
}

/// Outputs below the voltage of their domain, by the conductors at their positive pole.
struct Supplies {
    lumps: crate::network::Components,
    outputs: FxHashMap<GroupId, (DomainId, Nominal)>,
    /// Conductors that hold a pin of role `sensor supply`.
    named: FxHashSet<GroupId>,
    /// Conductors that hold a pin or stud at all; others are inside a box, and what they feed is made for it.
    outside: FxHashSet<GroupId>,
}

impl Supplies {
    /// `None` where there is none, which saves the passes.
    fn new(network: &Network, domains: &Domains) -> Option<Self> {
        let model = network.model();
        // A diode lets one way only: a free-wheeling one joins both poles of a battery as soon as its switch is taken as closed.
        let lumps = network.components(|_, edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode);
        let above: FxHashSet<GroupId> =
            network.edges().filter(|(_, edge)| edge.role.drives()).map(|(_, edge)| lumps.of(edge.b)).collect();
        let low = network.edges().filter_map(|(_, edge)| {
            let supply = edge.element().filter(|_| edge.role.drives())?;
            // A module of a string gives a part of the voltage of its domain, not a supply of its own.
            if above.contains(&lumps.of(edge.a)) {
                return None;
            }
            let volts = model[supply].kind.open_voltage()?;
            let domain = domains.of(edge.b)?;
            (volts.get() < OWN * model[domain].nominal.get()).then_some((edge.b, domain, Nominal { volts, supply: Some(supply) }))
        });
        let low: Vec<_> = low.collect();
        if low.is_empty() {
            return None;
        }
        let mut outputs: FxHashMap<GroupId, (DomainId, Nominal)> = FxHashMap::default();
        for (pole, domain, nominal) in low {
            let known = outputs.entry(lumps.of(pole)).or_insert((domain, nominal));
            if nominal.volts < known.1.volts {
                *known = (domain, nominal);
            }
        }
        let named = model.points().filter(|(id, _)| model.role_at(*id) == Some(Role::Reference));
        let named = named.map(|(id, _)| lumps.of(id)).collect();
        let is_outside = |point: &Point| matches!(point.kind, PointKind::Pin(_) | PointKind::Stud(_));
        let outside = model.points().filter(|(_, point)| is_outside(point)).map(|(id, _)| lumps.of(id)).collect();
        Some(Self { lumps, outputs, named, outside })
    }

    fn of(&self, model: &Model, id: ElementId, (domain, _): (DomainId, Volt)) -> Option<Nominal> {
        let ElementKind::Load { kind, .. } = model[id].kind else { return None };
        let lumps = model[id].points.iter().map(|point| self.lumps.of(*point));
        let found = lumps.filter_map(|lump| {
            let (of, nominal) = self.outputs.get(&lump)?;
            let is_sensors = self.named.contains(&lump) || kind == Some(LoadKind::Sensor);
            (*of == domain && (is_sensors || !self.outside.contains(&lump))).then_some(*nominal)
        });
        found.reduce(|a, b| if b.volts < a.volts { b } else { a })
    }
}
