//! Coils of contactors that need an economiser and have none, or have two.
//!
//! A coil whose economiser is external is wound for a pull-in pulse: what drives it must reduce its current within a fraction of a second. A
//! built-in one takes the pulses of an output that reduces the current too for a supply that comes and goes.
//!
//! Cost: nothing without such a coil; else a pass over the points.

use super::Facts;
use crate::{
    model::{ElementId, ElementKind, ModeId, PointId},
    network::EdgeId,
    quantity::{Ampere, Watt},
    standards::contact::coil_resistance,
    vocabulary::Economiser,
};

impl Facts {
    /// Coils with none or two, in the order of their edges.
    ///
    /// Asked by `interlock/wrong-economiser`.
    #[must_use]
    pub fn wrong_economisers(&self) -> Vec<WrongEconomiser> {
        wrong_economisers(self)
    }
}

/// A coil with no economiser, or with two.
#[derive(Debug, Clone)]
pub struct WrongEconomiser {
    /// The relay.
    pub relay: ElementId,
    /// What its coil asks for.
    pub asks: Economiser,
    /// The output that has an economiser, where there are two.
    pub output: Option<PointId>,
    /// The mode in which the coil is energised, with its current and power for good.
    pub mode: ModeId,
    /// Its current.
    pub amps: Ampere,
    /// Its power.
    pub watts: Watt,
}

fn wrong_economisers(facts: &Facts) -> Vec<WrongEconomiser> {
    let (model, network) = (facts.model(), facts.network());
    let coils: Vec<(EdgeId, ElementId, Economiser)> = network
        .edges()
        .filter(|(_, edge)| edge.role.draws())
        .filter_map(|(id, edge)| {
            let relay = edge.element()?;
            match &model[relay].kind {
                ElementKind::Relay { economiser: Some(asks), .. } => Some((id, relay, asks.value)),
                _ => None,
            }
        })
        .collect();
    if coils.is_empty() {
        return Vec::new();
    }
    let sides = network.components(|_, edge| edge.is_metal() || edge.role.is_fuse());
    let outputs: Vec<PointId> =
        model.points().filter(|(_, point)| point.pin.is_some_and(|pin| model[pin].economiser)).map(|(point, _)| point).collect();
    let found = coils.into_iter().filter_map(|(id, relay, asks)| {
        let edge = network[id];
        let output =
            outputs.iter().copied().find(|output| [edge.a, edge.b].iter().any(|side| sides.of(*side) == sides.of(*output)));
        let is_wrong = match asks {
            Economiser::External => output.is_none(),
            Economiser::BuiltIn => output.is_some(),
            Economiser::Absent => false,
        };
        let mut modes = facts.electrical().modes().filter(|mode| mode.energised.binary_search(&id).is_ok());
        // Of the modes that energise it, the one with the most current.
        let first = modes.next()?;
        let mode = modes.fold(first, |most, mode| if mode.amps(id).abs() > most.amps(id).abs() { mode } else { most });
        let volts = (mode.volts(edge.a) - mode.volts(edge.b)).abs();
        // What it takes where nothing reduces its current.
        let amps = volts / model[relay].kind.coil_resistance().unwrap_or(coil_resistance().value);
        is_wrong.then(|| WrongEconomiser { relay, asks, output, mode: mode.id, amps, watts: volts * amps })
    });
    found.collect()
}
