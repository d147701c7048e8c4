//! Loads whose current goes home through a protective earth.
//!
//! The idea: what metal inside the device joins to a terminal of the load are pins, and these say what they are. Where that is an earth and
//! nothing that takes current back, the earth is the return. Pins that say nothing are what the pins at the other ends of their wires are.
//!
//! Cost: nothing without a domain of class B; else a search of the network and a pass over the loads.

use super::{
    Facts,
    mains_sides::is_earth,
    pins::{PinAt, Pins},
};
use crate::{
    model::{ElementId, ElementKind, Model, PointId},
    network::Components,
    vocabulary::{Demand, Role},
};

/// Current to earth that a device may have in use, by its filter: 3.5 mA of IEC 61140, for a plug of the household, from memory, not seen.
const LEAKAGE: f64 = 0.0035;

impl Facts {
    /// Such loads, in the order of their edges.
    ///
    /// Asked by `domain/loaded-earth`, `domain/wrong-voltage` and the missing facts.
    #[must_use]
    pub fn loaded_earths(&self) -> &[LoadedEarth] {
        self.made.loaded_earths.get_or_init(|| loaded_earths(self))
    }
}

/// A load that has an earth for its return.
#[derive(Debug, Clone, Copy)]
pub struct LoadedEarth {
    /// The load, converter or coil.
    pub load: ElementId,
    /// The earth, at the device of the load or at the other end of the wire there.
    pub earth: PointId,
    /// The pin of its device that should take its current back; `None` where the device has none.
    pub back: Option<PointId>,
}

fn loaded_earths(facts: &Facts) -> Vec<LoadedEarth> {
    let (model, network, pins) = (facts.model(), facts.network(), facts.pins());
    if !model.domains().any(|(_, domain)| domain.is_class_b()) {
        return Vec::new();
    }
    // Metal inside devices: what wires bring is asked of the pins.
    let inside = network.components(|_, edge| edge.is_metal() && edge.wire().is_none() && edge.element().is_some());
    let domains = facts.electrical().domains();
    let is_live = |point: PointId| domains.of(point).is_some_and(|domain| model[domain].is_class_b());
    let mut found: Vec<LoadedEarth> = Vec::new();
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.draws()) {
        let Some(load) = edge.element() else { continue };
        // Measuring and filtering leave next to nothing there.
        let most = facts.electrical().modes().map(|mode| mode.amps(id).get().abs()).fold(0.0, f64::max);
        let asks = asks(facts, load);
        let is_leak = if most > 0.0 { most <= LEAKAGE } else { asks.is_some_and(|asks| asks <= LEAKAGE) };
        let ends = [(edge.a, edge.b), (edge.b, edge.a)];
        let at_earth = ends.into_iter().find_map(|(end, other)| {
            let earth = earth_at(model, pins, &inside, end)?;
            let is_fed = is_live(other) && earth_at(model, pins, &inside, other).is_none();
            is_fed.then_some((earth, other))
        });
        let Some((earth, other)) = at_earth.filter(|_| !is_leak) else { continue };
        let takes_back = |pin: &&PinAt| match pin.role {
            Some(Role::Neutral) => true,
            Some(Role::Return) => pin.domain.is_some() && pin.domain == domains.of(other),
            _ => false,
        };
        let device = model.device_at(end_of(edge.a, edge.b, other));
        let back = device.and_then(|device| pins.of_device(device).iter().find(takes_back)).map(|pin| pin.point);
        found.push(LoadedEarth { load, earth, back });
    }
    found
}

/// What a load asks for in A; `None` where its voltage is not known, or for what is not a load.
fn asks(facts: &Facts, load: ElementId) -> Option<f64> {
    let ElementKind::Load { demand, .. } = &facts.model()[load].kind else { return None };
    match demand.value {
        Demand::Current(amps) => Some(amps.get()),
        Demand::Power(watt) => Some(watt.get() / facts.nominal(load)?.get()),
    }
}

/// The end of an edge that is not `other`.
fn end_of(a: PointId, b: PointId, other: PointId) -> PointId {
    if a == other { b } else { a }
}

/// The earth that a terminal is joined to inside its device; `None` where there is none, or something that takes current back too.
fn earth_at(model: &Model, pins: &Pins, inside: &Components, end: PointId) -> Option<PointId> {
    let mut earth = None;
    for point in inside.members(inside.of(end)).iter().copied().filter(|point| model.port_at(*point).is_some()) {
        let own = model.role_at(point);
        match own {
            Some(Role::Earth) => earth = earth.or(Some(point)),
            // What a chassis takes back where no earth is meant is the matter of the domain's reference.
            Some(_) => return None,
            None => {
                let others = pins.of_run(pins.run(point)).iter().filter(|pin| pin.point != point && pin.role.is_some());
                for other in others {
                    match other.role {
                        Some(Role::Earth) if is_earth(model, other.point) => earth = earth.or(Some(other.point)),
                        _ => return None,
                    }
                }
            }
        }
    }
    earth
}
