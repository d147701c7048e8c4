//! Whether a pin is at its active level in a state.

use crate::{
    electrical::Probed,
    facts::Facts,
    model::{Guard, PointId},
    network::EdgeId,
    quantity::Volt,
    standards::charging_inlet::{level_tolerance, levels_apart, reads_high},
    vocabulary::{Active, Pull, Role},
};

/// What a pin reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::facts) enum Reading {
    /// Its active level.
    Active,
    /// The other one.
    Inactive,
    /// Not known.
    Unknown(Why),
}

/// Why it is not known what a pin reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::facts) enum Why {
    /// Nothing holds it.
    Floats(PointId),
    /// An output drives it whose inside is not drawn.
    Undrawn(PointId),
    /// What it says is in messages.
    Message(PointId),
}

/// Nominal voltage that is taken where a pin has no domain.
const ASSUMED_NOMINAL: f64 = 12.0;

/// What a pin reads in a state; `idle` is the same with nothing plugged in, `cut` what is open.
pub(in crate::facts) fn of(
    facts: &Facts,
    state: &Probed,
    idle: Option<&Probed>,
    cut: &[EdgeId],
    point: PointId,
    guard: Guard,
) -> Reading {
    let role = facts.model().role_at(point);
    let is = |active: bool| if active { Reading::Active } else { Reading::Inactive };
    let volts = own_volts(facts, state, point);
    match role {
        // A controller reads a proximity contact by how far a plug pulls it, and a pilot by the voltage of the station.
        Some(Role::Proximity) => {
            let alone = idle.and_then(|idle| own_volts(facts, idle, point));
            let apart = levels_apart().value.get();
            return is(match (volts, alone) {
                (Some(with), Some(without)) => (with - without).get().abs() > apart,
                // What floats with nothing plugged in is held by the plug.
                (Some(_), None) => true,
                (None, _) => false,
            });
        }
        Some(Role::Pilot) => return is(volts.is_some_and(|volts| volts.get().abs() > level_tolerance().value.get())),
        _ => {}
    }
    if let Some(driver) = undrawn_driver(facts, cut, point) {
        return Reading::Unknown(Why::Undrawn(driver));
    }
    let is_high = match volts {
        Some(volts) => volts.get().abs() >= high_from(facts, point).get(),
        None => match facts.model().pin_at(point).and_then(|pin| pin.pull).map(|pull| pull.value) {
            Some(Pull::Up) => true,
            Some(Pull::Down) => false,
            Some(Pull::Neither) | None => return Reading::Unknown(Why::Floats(point)),
        },
    };
    is(is_high == (guard.active == Active::High))
}

/// The voltage of a pin in a state, and from which one it reads high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinLevel {
    /// Against the return of its box; `None` where nothing holds it.
    pub volts: Option<Volt>,
    /// An input reads high from here on.
    pub high_from: Volt,
}

/// The level of a pin in a state.
pub(in crate::facts) fn level(facts: &Facts, state: &Probed, point: PointId) -> PinLevel {
    PinLevel { volts: own_volts(facts, state, point), high_from: high_from(facts, point) }
}

/// The voltage from which an input reads high.
fn high_from(facts: &Facts, point: PointId) -> Volt {
    let domain = facts.electrical().domains().of(point);
    let nominal = domain.map_or(ASSUMED_NOMINAL, |domain| facts.model()[domain].nominal.get());
    Volt::new(reads_high().value.get() * nominal)
}

/// The voltage of a pin against the return of its box, else against the chassis; `None` where nothing joins them.
fn own_volts(facts: &Facts, state: &Probed, point: PointId) -> Option<Volt> {
    let model = facts.model();
    let device = model.device_at(point)?;
    let role = |at: &PointId| model.role_at(*at);
    // The return beside it in its own plug comes first: a case may be earthed while the ground of its logic is not.
    let is_ground = |at: &PointId| matches!(role(at), Some(Role::Return | Role::SensorReturn));
    let beside = model.points_of(&model[device]).filter(is_ground).filter(|at| model.port_at(*at) == model.port_at(point));
    let domain = facts.electrical().domains().of(point);
    let of_domain = |at: &PointId| {
        domain.is_none() || facts.electrical().domains().of(*at) == domain || facts.electrical().domains().of(*at).is_none()
    };
    let grounds = model.points_of(&model[device]).filter(is_ground).filter(of_domain);
    let takes_back = |at: &PointId| role(at).is_some_and(Role::takes_back) && !is_ground(at);
    let others = model.points_of(&model[device]).filter(takes_back).filter(of_domain);
    let own = beside.chain(grounds).chain(others);
    let chassis =
        model.devices().filter(|(_, device)| device.chassis && device.fitted).flat_map(|(_, device)| model.points_of(device));
    own.chain(chassis).find_map(|reference| state.between(point, reference))
}

/// An output on the conductor of a pin whose inside is not drawn.
fn undrawn_driver(facts: &Facts, cut: &[EdgeId], point: PointId) -> Option<PointId> {
    let (model, network) = (facts.model(), facts.network());
    let own = model.device_at(point);
    let walk = network.walk([point], |id, edge| edge.role.conducts_when_closed() && !cut.contains(&id));
    let is_drawn = |at: PointId| network.around(at).any(|(_, edge, _)| edge.element().is_some());
    walk.reached().iter().copied().find(|at| {
        model.device_at(*at) != own && model.role_at(*at) == Some(Role::Output) && model.is_fitted(*at) && !is_drawn(*at)
    })
}
