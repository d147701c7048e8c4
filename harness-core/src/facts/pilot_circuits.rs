//! The control pilot and the proximity circuit of each inlet: whether the return of their controller is protective earth, and what a
//! station and a plug read there in each mode.
//!
//! The station is the published one, joined to the contact from outside; what the design draws of a station or a plug is taken out
//! meanwhile. So the level is that of the vehicle alone, with everything that it has on the contact.
//!
//! Cost: three solutions of the network for each inlet and mode in which something else hangs at the contact, and in one mode one for each
//! cable code.

use super::{
    Facts,
    drive_gates::wires::is_rail,
    inlets::{ChargingInlet, reached},
};
use crate::{
    electrical::{ModeState, Probed, what_if::Change},
    model::{DeviceId, ElementId, ModeId, Owner, PointId},
    network::{Edge, EdgeId, EdgeRole, Step},
    quantity::{Ohm, Volt},
    standards::charging_inlet::{
        InletContact, cable_codes, has_latch_switch, latch_resistors, station_resistance, station_voltage,
    },
    vocabulary::Role,
};
use rustc_hash::FxHashMap;
use std::sync::OnceLock;

impl Facts {
    /// The signal circuits of all inlets: of each the control pilot, then the proximity contact, where it has them.
    ///
    /// Asked by `charging/pilot`, `charging/proximity`, and for the missing facts.
    #[must_use]
    pub fn pilot_circuits(&self) -> &[SignalCircuit] {
        self.made.pilot_circuits.get_or_init(|| pilot_circuits(self))
    }

    /// What a mode comes to with nothing plugged into an inlet, which is one of [`inlets`](Self::inlets) by its number: what the design draws of a
    /// station or a plug is taken out.
    #[must_use]
    pub(in crate::facts) fn unplugged_in(&self, inlet: usize, mode: ModeId) -> Option<&Probed> {
        self.at_inlet(inlet, mode)?.unplugged.get_or_init(|| self.electrical().probe(mode, &pulled(self, inlet)?)).as_ref()
    }

    /// What a mode comes to with the plug in, joined from outside where the design does not draw it.
    #[must_use]
    pub(in crate::facts) fn plugged_in(&self, inlet: usize, mode: ModeId) -> Option<&Probed> {
        let probe = || self.electrical().probe(mode, &self.inlets().get(inlet)?.plug(self, mode));
        self.at_inlet(inlet, mode)?.plugged.get_or_init(probe).as_ref()
    }

    fn at_inlet(&self, inlet: usize, mode: ModeId) -> Option<&AtInlet> {
        let all = self.made.at_inlets.get_or_init(|| {
            let modes = |inlet| self.electrical().modes().map(move |state| ((inlet, state.id), AtInlet::default()));
            (0..self.inlets().len()).flat_map(modes).collect()
        });
        all.get(&(inlet, mode))
    }
}

/// The states of each inlet and mode.
pub(super) type AtInlets = FxHashMap<(usize, ModeId), AtInlet>;

/// What a mode comes to, each found when it is first asked for.
#[derive(Debug, Default)]
pub(super) struct AtInlet {
    unplugged: OnceLock<Option<Probed>>,
    plugged: OnceLock<Option<Probed>>,
}

/// With what is drawn of a station taken out, and the inlet earthed as it is.
fn pulled(facts: &Facts, inlet: usize) -> Option<Vec<Change>> {
    let inlet = facts.inlets().get(inlet)?;
    Some(unplugged(facts, inlet).into_iter().chain(inlet.earthing.outside()).collect())
}

/// The circuit of a signal contact of an inlet.
#[derive(Debug)]
pub struct SignalCircuit {
    /// The number of the inlet among [`Facts::inlets`].
    pub inlet: usize,
    /// Control pilot or proximity.
    pub contact: InletContact,
    /// The contact.
    pub point: PointId,
    /// The boxes that read it, each with its pin.
    pub controllers: Vec<(DeviceId, PointId)>,
    /// From the contact to each of them.
    pub ways: Vec<Vec<Step>>,
    /// What is at the contact already for another reason: no wire, or a pin of another kind on its conductor.
    pub is_reported: bool,
    /// A supply or the pole of a source that is on the conductor of the contact.
    pub fed_by: Option<PointId>,
    /// A return of the controller that is not joined to protective earth; `None` where one is, or where that is not known.
    pub other_return: Option<PointId>,
    /// Resistors and diodes between the contact and what is behind them, of the vehicle.
    pub drawn: Vec<ElementId>,
    /// What is read in each mode.
    pub levels: Vec<Level>,
}

/// What a station and a plug read at a contact in a mode, against protective earth.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The mode.
    pub mode: ModeId,
    /// With nothing plugged in; `None` where nothing joins the contact to earth.
    pub alone: Option<Volt>,
    /// With the positive half of the station's voltage; of a proximity contact nothing.
    pub high: Option<Volt>,
    /// With the negative half.
    pub low: Option<Volt>,
    /// Of a proximity contact, in the first mode in which it is highest alone: with each resistor of a plug.
    pub plugged: Vec<(Ohm, Volt)>,
}

fn pilot_circuits(facts: &Facts) -> Vec<SignalCircuit> {
    let mut found = Vec::new();
    for (at, inlet) in facts.inlets().iter().enumerate() {
        for contact in [InletContact::Pilot, InletContact::Proximity] {
            if let Some(point) = inlet.contact(contact) {
                found.push(circuit(facts, at, inlet, contact, point));
            }
        }
    }
    found
}

fn circuit(facts: &Facts, at: usize, inlet: &ChargingInlet, contact: InletContact, point: PointId) -> SignalCircuit {
    let network = facts.network();
    let reach = reached(facts, inlet, point);
    let net = network.net(point);
    let clashes =
        facts.role_clashes().iter().any(|clash| [clash.one.point, clash.other.point].iter().any(|at| network.net(*at) == net));
    // Names that do not fit, and a pin without a wire, are findings of their own; without its earth nothing reads right.
    let is_mixed = facts.mixed_signals().iter().any(|mixed| mixed.nets.contains(&net));
    // A contact without a wire is a finding of its own, unless the design says that it needs none.
    let is_bare = facts.wire_ends().reaching(facts.model(), point).is_none();
    let is_reported = clashes || is_mixed || is_bare || !is_earthed(facts, inlet);
    let ways = reach.controllers.iter().filter_map(|(_, pin)| reach.walk.steps_to(*pin)).collect();
    let earth = inlet.contact(InletContact::Earth);
    let one = match reach.controllers.as_slice() {
        [(device, _)] => Some(*device),
        _ => None,
    };
    let drawn = drawn(facts, inlet, point);
    let is_supply = |at: &PointId| {
        let of_station = inlet
            .station
            .iter()
            .any(|element| Some(facts.model()[*element].owner) == facts.model().device_at(*at).map(Owner::Device));
        !of_station && (facts.pins().is_pole(*at) || facts.model().role_at(*at).is_some_and(Role::gives_supply))
    };
    let fed_by = reach.walk.reached().iter().copied().find(is_supply);
    let levels = match earth {
        Some(earth) if !is_reported && !drawn.is_empty() => levels(facts, at, contact, point, earth),
        _ => Vec::new(),
    };
    SignalCircuit {
        inlet: at,
        contact,
        point,
        controllers: reach.controllers,
        ways,
        is_reported,
        fed_by,
        other_return: one.filter(|_| earth.is_some()).and_then(|device| other_return(facts, device, inlet)),
        drawn,
        levels,
    }
}

/// Whether the protective earth of an inlet reaches the chassis; without a chassis it is as good as that.
#[must_use]
pub fn is_earthed(facts: &Facts, inlet: &ChargingInlet) -> bool {
    let has_chassis = facts.model().devices().any(|(_, device)| device.chassis && device.fitted);
    inlet.contact(InletContact::Earth).is_some() && (!has_chassis || inlet.earthing.reaches_chassis)
}

/// A return of a box, where none of its pins is joined to protective earth; of several the first.
fn other_return(facts: &Facts, device: DeviceId, inlet: &ChargingInlet) -> Option<PointId> {
    let (model, network) = (facts.model(), facts.network());
    let mut points = model.points_of(&model[device]);
    if points.any(|point| inlet.earthing.nets.contains(&network.net(point))) {
        return None;
    }
    let is_return = |point: &PointId| model.role_at(*point).is_some_and(Role::takes_back);
    model.points_of(&model[device]).find(is_return)
}

/// Resistors and diodes that lead from a contact to what is behind them, of the vehicle: not past earth, a source or a supply.
fn drawn(facts: &Facts, inlet: &ChargingInlet, point: PointId) -> Vec<ElementId> {
    let (model, network) = (facts.model(), facts.network());
    let is_plug = |element: ElementId| inlet.station.contains(&element);
    let own = network.net(point);
    // What is drawn of a station has its pole at the contact.
    let is_supply = |at: PointId| facts.pins().is_pole(at) || model.role_at(at).is_some_and(Role::gives_supply);
    let ends = |at: PointId| inlet.earthing.nets.contains(&network.net(at)) || (network.net(at) != own && is_supply(at));
    let walk = network.walk_along([point], |from, _, edge| {
        let passes = edge.role.conducts_when_closed() || edge.role.leads_measurement();
        passes && !ends(from) && !edge.element().is_some_and(is_plug)
    });
    let mut found: Vec<ElementId> = walk
        .reached()
        .iter()
        .filter_map(|point| network[walk.came(*point)?.by].element())
        .filter(|element| model[*element].kind.resistance().is_some() || is_diode(facts, *element))
        .collect();
    // Two that join the same points are both there.
    let reached = |point: &PointId| walk.reached().contains(point);
    let beside = model.elements().filter(|(id, element)| {
        (element.kind.resistance().is_some() || is_diode(facts, *id)) && !is_plug(*id) && element.points.iter().all(reached)
    });
    found.extend(beside.map(|(id, _)| id));
    found.sort_unstable();
    found.dedup();
    found
}

fn is_diode(facts: &Facts, element: ElementId) -> bool {
    facts.network().edges().any(|(_, edge)| edge.element() == Some(element) && edge.role == EdgeRole::Diode)
}

/// What takes out of a design what it draws of a station or a plug at a contact.
fn unplugged(facts: &Facts, inlet: &ChargingInlet) -> Vec<Change> {
    let of_station = |element: ElementId| inlet.station.contains(&element);
    let edges = facts.network().edges().filter(|(_, edge)| edge.element().is_some_and(of_station));
    edges.map(|(id, _)| Change::Open(id)).collect()
}

/// Voltage in V by which what feeds a contact may differ between modes in which the contact reads alike: far within the tolerance of every level.
const ALIKE: f64 = 0.005;

/// Of each mode the first one in which all that hangs at a contact is as in it, up to earth and to the supplies and returns that it ends at: their
/// voltages too. In both the contact reads the same.
fn first_alike(facts: &Facts, inlet: &ChargingInlet, point: PointId, earth: PointId) -> Vec<usize> {
    let network = facts.network();
    let own = network.net(point);
    let is_plug = |edge: &Edge| edge.element().is_some_and(|element| inlet.station.contains(&element));
    let is_end = |at: PointId| {
        let net = network.net(at);
        net != own && (inlet.earthing.nets.contains(&net) || is_rail(facts, at))
    };
    let walk = network.walk_along([point], |from, _, edge| !is_end(from) && !is_plug(edge));
    let (ends, inner): (Vec<PointId>, Vec<PointId>) = walk.reached().iter().partition(|at| is_end(**at));
    let around = || inner.iter().flat_map(|at| network.around(*at)).filter(|(_, edge, _)| !is_plug(edge));
    // What gives or takes may do so otherwise in each mode.
    let is_passive = around().all(|(_, edge, _)| !edge.role.drives() && !edge.role.draws());
    let moved: Vec<EdgeId> = around().filter(|(_, edge, _)| edge.role.is_switched()).map(|(id, ..)| id).collect();
    let as_in = |state: &ModeState| {
        let joined = &facts.joined_in(state).all;
        let volts = |at: PointId| (joined.of(at) == joined.of(earth)).then(|| (state.volts(at) - state.volts(earth)).get());
        let ends: Vec<Option<f64>> = ends.iter().map(|at| volts(*at)).collect();
        let moved = moved.iter().map(|id| state.conducts(*id)).chain([state.is_adrift(point), state.is_adrift(earth)]);
        (moved.collect::<Vec<bool>>(), ends)
    };
    let known: Vec<_> = facts.electrical().modes().map(as_in).collect();
    let is_near = |pair: (&Option<f64>, &Option<f64>)| match pair {
        (Some(one), Some(other)) => (one - other).abs() <= ALIKE,
        (one, other) => one.is_none() && other.is_none(),
    };
    let alike = |(moved, ends): &(Vec<bool>, Vec<Option<f64>>)| {
        known.iter().position(|(other, others)| other == moved && others.iter().zip(ends).all(is_near))
    };
    known.iter().enumerate().map(|(at, own)| alike(own).filter(|_| is_passive).unwrap_or(at)).collect()
}

fn levels(facts: &Facts, at: usize, contact: InletContact, point: PointId, earth: PointId) -> Vec<Level> {
    let (Some(inlet), Some(mut changes)) = (facts.inlets().get(at), pulled(facts, at)) else { return Vec::new() };
    let mut read = |mode: ModeId, outside: Change| {
        changes.push(outside);
        let found = facts.electrical().probe(mode, &changes);
        changes.pop();
        found?.between(point, earth)
    };
    let mut levels: Vec<Level> = Vec::new();
    for (state, first) in facts.electrical().modes().zip(first_alike(facts, inlet, point, earth)) {
        let mode = state.id;
        let level = levels.get(first).cloned().unwrap_or_else(|| {
            let alone = facts.unplugged_in(at, mode).and_then(|state| state.between(point, earth));
            let (emf, resistance) = (station_voltage().value, station_resistance().value);
            let mut with = |negative: PointId, positive: PointId| {
                let is_pilot = contact == InletContact::Pilot;
                is_pilot.then(|| read(mode, Change::Fed { negative, positive, emf, resistance })).flatten()
            };
            Level { mode, alone, high: with(earth, point), low: with(point, earth), plugged: Vec::new() }
        });
        levels.push(Level { mode, ..level });
    }
    if contact == InletContact::Pilot {
        return levels;
    }
    let codes: Vec<Ohm> = match inlet.kind {
        Some(kind) if has_latch_switch(kind.value) => latch_resistors().value.to_vec(),
        _ => cable_codes().value.iter().map(|code| code.ohm).collect(),
    };
    let volts = |level: &Level| level.alone.map_or(0.0, Volt::get);
    let highest = levels.iter_mut().reduce(|high, level| if volts(level) > volts(high) { level } else { high });
    if let Some(level) = highest {
        let read = |ohm: Ohm| Some((ohm, read(level.mode, Change::Joined(point, earth, ohm))?));
        level.plugged = codes.into_iter().filter_map(read).collect();
    }
    levels
}

/// A resistor between the proximity contact and earth that is there with nothing plugged in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlugResistor {
    /// The resistor.
    pub element: ElementId,
    /// What it is.
    pub ohm: Ohm,
}

/// The resistors that join a proximity contact to protective earth by themselves: in the vehicle, and in the plug that is drawn.
#[must_use]
pub fn resistors_to_earth(facts: &Facts, inlet: &ChargingInlet, point: PointId) -> (Vec<PlugResistor>, Vec<PlugResistor>) {
    let (model, network) = (facts.model(), facts.network());
    let is_plug = |element: ElementId| inlet.station.contains(&element);
    let in_plug = |owner: Owner| inlet.station.iter().any(|element| model[*element].owner == owner);
    // Over metal and whatever is closed while nothing is plugged in; over what is drawn of a plug for those of the plug.
    let idle: Vec<_> = facts.electrical().modes().filter(|state| !inlet.plugged.has(state.id)).collect();
    let of_vehicle = network.walk([point], |id, edge| {
        let closed = edge.role.conducts_when_closed() && idle.iter().any(|state| state.conducts(id));
        (edge.is_metal() || closed) && !edge.element().is_some_and(is_plug)
    });
    let of_plug = network.walk([point], |_, edge| {
        edge.is_metal()
            || (edge.role.conducts_when_closed() && edge.element().is_some_and(|element| in_plug(model[element].owner)))
    });
    let (mut vehicle, mut plug) = (Vec::new(), Vec::new());
    for (_, edge) in network.edges() {
        let Some((element, ohm)) = edge.element().and_then(|element| Some((element, model[element].kind.resistance()?))) else {
            continue;
        };
        let joins = |reached: &[PointId]| {
            let at = |one: PointId, other: PointId| reached.contains(&one) && inlet.earthing.nets.contains(&network.net(other));
            network.net(edge.a) != network.net(edge.b) && (at(edge.a, edge.b) || at(edge.b, edge.a))
        };
        if joins(of_vehicle.reached()) && !is_plug(element) {
            vehicle.push(PlugResistor { element, ohm });
        } else if joins(of_plug.reached()) {
            plug.push(PlugResistor { element, ohm });
        }
    }
    (vehicle, plug)
}
