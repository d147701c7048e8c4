//! Batteries on charge, flat and full: a mode gives one open-circuit voltage, and the charge current follows the state of charge.
//!
//! A flat battery takes all that its charger gives, for hours: conductors, contacts and fuses on the way are judged at that current. A
//! full one takes next to nothing: what the loads get is judged there, because the charger then feeds them alone.
//!
//! Cost: two more solutions for each mode in which a source with a limit charges a battery; none for the others.

use super::{
    adapting,
    branches::Maker,
    state::{Beginning, Charged, ModeState},
};
use crate::{
    circuit::{BranchKind, Circuit},
    electrical::conductors::installation::Installation,
    model::{ElementId, ElementKind, ModeId, ModeSet},
    network::{Edge, EdgeId, GroupId, Network},
    quantity::{Ampere, Volt},
    standards::battery,
};
use std::collections::{BTreeMap, BTreeSet};

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

/// A state of charge of batteries on charge in which nothing is judged, because it does not settle.
#[derive(Debug)]
pub struct Restless {
    /// The mode.
    pub mode: ModeId,
    /// The batteries on charge in it.
    pub batteries: Vec<EdgeId>,
    /// What was found.
    pub state: ModeState,
}

/// The modes in which sources with a limit charge batteries, and the states of charge that do not settle: then the mode is judged at the
/// open-circuit voltages that the design gives alone.
pub(in crate::electrical) fn charges(
    network: &Network,
    installation: &Installation,
    maker: &Maker<'_>,
    modes: &[ModeState],
) -> (Vec<Charge>, Vec<Restless>) {
    let mut restless = Vec::new();
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
        let solved = |battery: Charged| {
            let circuit = with(&circuit, mode, &batteries, battery);
            let mut state = adapting::solve(network, installation, mode.id, &circuit, Beginning::State(mode));
            state.battery = battery;
            state
        };
        // What is refused, or does not settle elsewhere, is so in each state, and reported of the mode.
        let drifts = |state: &ModeState, id: &EdgeId| !state.at_rest || state.is_adrift(network[*id].a);
        let settles = |state: &ModeState| !batteries.iter().any(|id| drifts(state, id));
        let (mut fails, mut states) = (Vec::new(), Vec::new());
        for state in [solved(Charged::Flat), solved(Charged::Full)] {
            if settles(&state) { &mut states } else { &mut fails }.push(state);
        }
        restless.extend(fails.into_iter().map(|state| {
            let batteries = batteries.iter().copied().filter(|id| drifts(&state, id)).collect();
            Restless { mode: mode.id, batteries, state }
        }));
        let (full, flat) = (states.pop()?, states.pop()?);
        let takes = batteries.iter().map(|id| (*id, Ampere::new(-flat.amps(*id).get())));
        let batteries = takes.filter(|(_, amps)| amps.get() > NOTHING).collect();
        Some(Charge { mode: mode.id, batteries, flat, full })
    });
    let charges = charges.collect();
    (charges, restless)
}

/// Those of `taking` that sources with a limit charge, with the batteries that share the work: all of one circuit are flat or full
/// together. None where something else charges without a limit: nobody knows what a flat battery would get.
fn charged(network: &Network, circuit: &Circuit, mode: &ModeState, taking: Vec<EdgeId>) -> Vec<EdgeId> {
    let joined = network.components(|id, edge| mode.conducts(id) && !edge.role.draws());
    let mut givers = Vec::new();
    for (branch, (id, edge)) in circuit.branches.iter().zip(network.edges()) {
        let BranchKind::Source { limit, .. } = branch.kind else { continue };
        if mode.amps(id).get() > NOTHING {
            givers.push((joined.of(edge.a), id, limit.is_some()));
        }
    }
    let modes = |id: EdgeId| network[id].element().and_then(|element| network.model()[element].kind.modes());
    let is_battery = |id: EdgeId| network.role(id).takes_charge() && modes(id) == Some(ModeSet::ALL);
    let is_charged = |group: GroupId| {
        let mut beside = givers.iter().filter(|(other, ..)| *other == group);
        let mut chargers = beside.clone().filter(|(_, _, is_limited)| *is_limited);
        chargers.next().is_some() && beside.all(|(_, id, is_limited)| *is_limited || is_battery(*id))
    };
    let mut found: Vec<EdgeId> = taking.into_iter().filter(|id| is_charged(joined.of(network[*id].a))).collect();
    let groups: BTreeSet<GroupId> = found.iter().map(|id| joined.of(network[*id].a)).collect();
    found.extend(givers.iter().filter(|(group, _, is_limited)| !is_limited && groups.contains(group)).map(|(_, id, _)| *id));
    found.sort_unstable();
    found
}

/// A source that may be a generator or charger beside a battery, though the design does not say in which modes it runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct AlwaysOn {
    /// The source that runs in every mode for want of `in`.
    pub source: ElementId,
    /// The first battery beside it.
    pub battery: ElementId,
    /// Whether it gives a limit; one without counts as a battery too.
    pub is_limited: bool,
}

/// Sources without `in` that hold a battery above its open-circuit voltage: generators and chargers run in some modes only. In the order of
/// the elements. None for a design of one mode, in which nothing else can be said. Cost: a pass over the edges.
pub(in crate::electrical) fn always_on(network: &Network) -> Vec<AlwaysOn> {
    let model = network.model();
    if model.modes().len() < 2 {
        return Vec::new();
    }
    let joined = network.components(|_, edge| edge.role.conducts_when_closed());
    let sources = network.edges().filter_map(|(_, edge)| {
        let element = edge.element().filter(|_| edge.role.is_source())?;
        let ElementKind::Source { emf, modes: ModeSet::ALL, .. } = model[element].kind else { return None };
        Some((element, (joined.of(edge.a), joined.of(edge.b)), emf, model[element].kind.limit().is_some()))
    });
    let sources: Vec<(ElementId, (GroupId, GroupId), Volt, bool)> = sources.collect();
    let mut found: Vec<AlwaysOn> = Vec::new();
    for (source, poles, emf, is_limited) in &sources {
        let share = if *is_limited { 1.0 } else { battery::charging_over_given().value.get() };
        let battery = sources
            .iter()
            .filter(|(other, at, own, limited)| other != source && at == poles && !limited && emf.get() > own.get() * share);
        if let Some(battery) = battery.map(|(battery, ..)| *battery).min() {
            found.push(AlwaysOn { source: *source, battery, is_limited: *is_limited });
        }
    }
    found.sort_unstable();
    found
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
