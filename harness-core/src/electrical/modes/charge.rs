//! Batteries on charge, flat and full: a mode gives one open-circuit voltage, and the charge current follows the state of charge.
//!
//! A flat battery takes all that its charger gives, for hours: conductors, contacts and fuses on the way are judged at that current. A
//! full one takes next to nothing: what the loads get is judged there, because the charger then feeds them alone.
//!
//! Cost: two more solutions for each mode in which a source with a limit charges a battery; none for the others.

use super::{
    branches::Maker,
    state::{self, Charged, ModeState},
};
use crate::{
    circuit::{BranchKind, Circuit},
    electrical::conductors::installation::Installation,
    model::{ElementId, ModeId, ModeSet},
    network::{Edge, EdgeId, Network},
    quantity::{Ampere, Volt},
    standards::battery,
};
use std::collections::BTreeMap;

/// Charge current that counts as none.
const NOTHING: f64 = 1e-3;
/// Limit of a source that only shall take nothing back.
const ENDLESS: f64 = 1e12;

/// What a mode is while batteries are on charge.
#[derive(Debug)]
pub struct Charge {
    /// The mode.
    pub mode: ModeId,
    /// The batteries on charge, with what each takes while flat.
    pub batteries: Vec<(EdgeId, Ampere)>,
    /// What flows while they are flat.
    pub flat: ModeState,
    /// What flows while they are full.
    pub full: ModeState,
}

/// The modes in which sources with a limit charge batteries.
pub(in crate::electrical) fn charges(
    network: &Network,
    installation: &Installation,
    maker: &Maker<'_>,
    modes: &[ModeState],
) -> Vec<Charge> {
    let charges = modes.iter().filter_map(|mode| {
        let takes = |(id, edge): (EdgeId, &Edge)| {
            (edge.role.takes_charge() && mode.working_amps(id, edge).get() < -NOTHING).then_some(id)
        };
        let taking: Vec<EdgeId> = network.edges().filter_map(takes).collect();
        if taking.is_empty() {
            return None;
        }
        let circuit = maker.circuit(mode.id);
        let batteries = charged(network, &circuit, mode, taking);
        if batteries.is_empty() {
            return None;
        }
        let energised: Vec<u32> = mode.energised.iter().map(|coil| coil.0).collect();
        let solved = |battery: Charged| {
            let circuit = with(&circuit, mode, &batteries, battery);
            let mut state = state::solve(network, installation, mode.id, &circuit, &energised);
            state.battery = battery;
            state.is_settled().then_some(state)
        };
        let (flat, full) = (solved(Charged::Flat)?, solved(Charged::Full)?);
        let batteries = batteries.iter().map(|id| (*id, Ampere::new((-flat.amps(*id).get()).max(0.0)))).collect();
        Some(Charge { mode: mode.id, batteries, flat, full })
    });
    charges.collect()
}

/// Those of `taking` that are charged by sources with a limit alone: without one nobody knows what a flat battery would get.
fn charged(network: &Network, circuit: &Circuit, mode: &ModeState, taking: Vec<EdgeId>) -> Vec<EdgeId> {
    let joined = network.components(|id, edge| mode.conducts(id) && !edge.role.draws());
    let mut limited = Vec::new();
    for (branch, (id, edge)) in circuit.branches.iter().zip(network.edges()) {
        let BranchKind::Source { limit, .. } = branch.kind else { continue };
        if mode.amps(id).get() > NOTHING {
            limited.push((joined.of(edge.a), limit.is_some()));
        }
    }
    let is_charged = |id: &EdgeId| {
        let group = joined.of(network[*id].a);
        let mut chargers = limited.iter().filter(|(other, _)| *other == group).peekable();
        chargers.peek().is_some() && chargers.all(|(_, is_limited)| *is_limited)
    };
    taking.into_iter().filter(is_charged).collect()
}

/// A battery on charge that is not judged while flat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unlimited {
    /// What charges it and gives no limit.
    pub charger: ElementId,
    /// The first battery that takes the charge.
    pub battery: ElementId,
}

/// What charges a battery in some mode and gives no limit: a converter, or a source that is not always there. A battery that charges
/// another is not a charger. In the order of the elements, each once.
pub(in crate::electrical) fn unlimited(network: &Network, modes: &[ModeState]) -> Vec<Unlimited> {
    let model = network.model();
    let mut found: BTreeMap<ElementId, ElementId> = BTreeMap::new();
    for mode in modes {
        let takes = |id: EdgeId, edge: &Edge| edge.role.takes_charge() && mode.working_amps(id, edge).get() < -NOTHING;
        let batteries = network.edges().filter(|(id, edge)| takes(*id, edge));
        let taking: Vec<(&Edge, ElementId)> = batteries.filter_map(|(_, edge)| Some((edge, edge.element()?))).collect();
        if taking.is_empty() {
            continue;
        }
        let joined = network.components(|id, edge| mode.conducts(id) && !edge.role.draws());
        for (id, edge) in network.edges() {
            let Some(charger) = edge.element().filter(|_| edge.role.drives_without_limit() && mode.amps(id).get() > NOTHING)
            else {
                continue;
            };
            if model[charger].kind.modes() == Some(ModeSet::ALL) && edge.role.is_source() {
                continue;
            }
            let charged = taking.iter().find(|(battery, _)| joined.of(battery.a) == joined.of(edge.a));
            if let Some((_, battery)) = charged {
                found.entry(charger).or_insert(*battery);
            }
        }
    }
    found.into_iter().map(|(charger, battery)| Unlimited { charger, battery }).collect()
}

/// The circuit with these batteries in a state of charge.
fn with(circuit: &Circuit, mode: &ModeState, batteries: &[EdgeId], charged: Charged) -> Circuit {
    let mut circuit = circuit.clone();
    for (branch, number) in circuit.branches.iter_mut().zip(0..) {
        let id = EdgeId(number);
        match branch.kind {
            BranchKind::Source { emf, resistance, .. } if batteries.binary_search(&id).is_ok() => {
                branch.kind = match charged {
                    Charged::Flat => {
                        let emf = Volt::new(emf.get() * battery::flat_over_given().value.get());
                        BranchKind::Source { emf, resistance, limit: None }
                    }
                    Charged::Full => BranchKind::Source { emf, resistance, limit: Some(Ampere::new(ENDLESS)) },
                    Charged::AsGiven => branch.kind,
                };
            }
            // The voltage of a flat battery is lower; what the loads draw then does not matter to charging.
            BranchKind::PowerLoad { nominal, .. } if charged == Charged::Flat && mode.amps(id) != Ampere::ZERO => {
                branch.kind = BranchKind::CurrentLoad { amps: mode.amps(id).abs(), nominal };
            }
            _ => {}
        }
    }
    circuit
}
