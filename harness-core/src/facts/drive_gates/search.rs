//! Trying whether a gate permits the drive: with the plug in, with the driver's controls as for driving, with each wire open.

use super::{
    DriveGates, EnabledPin, Gate, OpenGate, Permit, Unjudged, UnsafeWires, decides, is_bus, is_electronics,
    reading::{self, PinLevel, Reading, Why},
    wires,
};
use crate::{
    electrical::{Probed, Probing, what_if::Change},
    facts::{Facts, inlets::ChargingInlet, pilot_circuits::is_earthed},
    model::{DeviceId, ElementId, Guard, ModeId, Owner, PointId, WireId},
    network::{EdgeId, EdgeRole},
    standards::charging_inlet::level_tolerance,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

pub(super) struct Search<'a> {
    pub(super) facts: &'a Facts,
    pub(super) gates: &'a [Gate],
}

/// What is set for a search: the modes, what a hand moves, what is plugged in.
struct Setting<'a> {
    charging: ModeId,
    driving: ModeId,
    hands: Vec<Change>,
    /// A contact of which it is not known whether a hand or the plug moves it.
    doubtful: Option<ElementId>,
    plug: Vec<Change>,
    /// With the plug in and all wires whole, the hands as while it charges.
    whole: &'a Probed,
    /// With nothing plugged in, for the levels of proximity contacts.
    idle: &'a Probed,
    inlet: &'a ChargingInlet,
}

impl Search<'_> {
    /// Pins that enable the drive in a mode in which nothing may.
    pub(super) fn enabled(&self, mode: ModeId, found: &mut Vec<EnabledPin>) {
        let facts = self.facts;
        let inlet = facts.inlets().iter().position(|inlet| inlet.charges_in(facts.model(), mode));
        let alone = if inlet.is_none() { facts.electrical().probe(mode, &[]) } else { None };
        let Some(state) = inlet.map_or(alone.as_ref(), |inlet| facts.plugged_in(inlet, mode)) else { return };
        let idle = inlet.and_then(|inlet| facts.unplugged_in(inlet, mode));
        let read = |(point, guard): &(PointId, Guard)| reading::of(facts, state, idle, &[], *point, *guard);
        for gate in self.gates {
            if gate.inhibits.iter().any(|pin| read(pin) == Reading::Active) {
                continue;
            }
            let active = gate.enables.iter().filter(|pin| read(pin) == Reading::Active);
            found.extend(active.map(|(point, guard)| {
                let level = reading::level(facts, state, *point);
                EnabledPin { point: *point, guard: *guard, mode, level }
            }));
        }
    }

    /// What a gate permits in a state.
    fn permits(&self, gate: &Gate, state: &Probed, setting: &Setting<'_>, cut: &[EdgeId]) -> Permit {
        let read = |(point, guard): &(PointId, Guard)| reading::of(self.facts, state, Some(setting.idle), cut, *point, *guard);
        let (inhibits, enables): (Vec<Reading>, Vec<Reading>) =
            (gate.inhibits.iter().map(read).collect(), gate.enables.iter().map(read).collect());
        if inhibits.contains(&Reading::Active) || enables.contains(&Reading::Inactive) {
            return Permit::No;
        }
        let unknown = inhibits.iter().chain(&enables).find_map(|reading| match reading {
            Reading::Unknown(why) => Some(*why),
            Reading::Active | Reading::Inactive => None,
        });
        match (unknown, gate.messages.first()) {
            (Some(why), _) => Permit::Unknown(why),
            (None, Some(point)) => Permit::Unknown(Why::Message(*point)),
            (None, None) => Permit::Yes,
        }
    }

    pub(super) fn on_charge(&self, at: usize, inlet: &ChargingInlet, found: &mut DriveGates) {
        let (facts, model, electrical) = (self.facts, self.facts.model(), self.facts.electrical());
        let charging: Vec<ModeId> =
            electrical.modes().map(|state| state.id).filter(|mode| inlet.charges_in(model, *mode)).collect();
        for charging in charging {
            let (Some(idle), Some(whole)) = (facts.unplugged_in(at, charging), facts.plugged_in(at, charging)) else { continue };
            let driving = self.driving_modes(at, inlet);
            let driving = if driving.is_empty() { self.never_enabled(inlet, found) } else { driving };
            for driving in driving {
                let (hands, doubtful) = self.hands(inlet, charging, driving);
                let plug = inlet.plug(facts, charging);
                let setting = Setting { charging, driving, hands, doubtful, plug, whole, idle, inlet };
                self.judge(&setting, found);
            }
        }
    }

    /// The modes in which a gate, controllers left out, permits the drive.
    fn driving_modes(&self, at: usize, inlet: &ChargingInlet) -> Vec<ModeId> {
        let (facts, model) = (self.facts, self.facts.model());
        let modes = facts.electrical().modes().map(|state| state.id);
        let free = modes.filter(|mode| !model[*mode].immobile && !model[*mode].touch_safe && !inlet.plugged.has(*mode));
        free.filter(|mode| {
            let Some(state) = facts.unplugged_in(at, *mode) else { return false };
            let (hands, doubtful, plug) = (Vec::new(), None, Vec::new());
            let setting = Setting { charging: *mode, driving: *mode, hands, doubtful, plug, whole: state, idle: state, inlet };
            let finals = self.gates.iter().filter(|gate| !gate.is_controller);
            finals.into_iter().any(|gate| self.permits(gate, state, &setting, &[]) != Permit::No)
        })
        .collect()
    }

    /// The modes in which the vehicle may move, where no gate permits it in any: that is said.
    fn never_enabled(&self, inlet: &ChargingInlet, found: &mut DriveGates) -> Vec<ModeId> {
        let (facts, model) = (self.facts, self.facts.model());
        let finals = self.gates.iter().filter(|gate| !gate.is_controller);
        found.unjudged.extend(finals.filter_map(|gate| gate.enables.first()).map(|(point, _)| Unjudged::NeverEnabled(*point)));
        let modes = facts.electrical().modes().map(|state| state.id);
        modes.filter(|mode| !model[*mode].immobile && !model[*mode].touch_safe && !inlet.plugged.has(*mode)).collect()
    }

    /// What hands move, as in a mode of driving: not what is in the inlet or the station, not what the plug moves, and not what a box decides. With
    /// it a contact of which it is not known.
    fn hands(&self, inlet: &ChargingInlet, charging: ModeId, driving: ModeId) -> (Vec<Change>, Option<ElementId>) {
        let (facts, model) = (self.facts, self.facts.model());
        let is_moved = |owner: Owner| match owner {
            Owner::Device(device) => {
                let of_station = inlet.station.iter().any(|element| model[*element].owner == owner);
                device != inlet.device && !of_station && !self.is_gate(device) && !decides(facts, device)
            }
            Owner::Loom(_) => true,
        };
        let others = self.idle_modes(inlet);
        let is_by_plug = |element: ElementId| self.is_by_plug(&others, charging, element);
        let is_doubtful = |element: ElementId| others.len() == 1 && is_by_plug(element);
        let hands =
            self.contacts(driving, |element| is_moved(model[element].owner) && (is_doubtful(element) || !is_by_plug(element)));
        let network = facts.network();
        let doubtful = hands.iter().filter_map(|change| network[change.edge()?].element()).find(|element| is_doubtful(*element));
        (hands, doubtful)
    }

    /// The modes without charging.
    fn idle_modes(&self, inlet: &ChargingInlet) -> Vec<ModeId> {
        let modes = self.facts.electrical().modes().map(|state| state.id);
        modes.filter(|mode| !inlet.charges_in(self.facts.model(), *mode)).collect()
    }

    /// Whether a contact is in one position while it charges and in the other in all `others`; the positions of a selector are a hand's.
    fn is_by_plug(&self, others: &[ModeId], charging: ModeId, element: ElementId) -> bool {
        let kind = &self.facts.model()[element].kind;
        kind.throw().is_none() && others.iter().all(|mode| kind.is_closed(*mode) != kind.is_closed(charging))
    }

    fn is_gate(&self, device: DeviceId) -> bool {
        self.gates.iter().any(|gate| gate.device == device)
    }

    /// The switches that `keep` lets through, as they are in a mode.
    fn contacts(&self, mode: ModeId, keep: impl Fn(ElementId) -> bool) -> Vec<Change> {
        let (network, model) = (self.facts.network(), self.facts.model());
        let switches = network.edges().filter(|(_, edge)| matches!(edge.role, EdgeRole::Switch { .. }));
        switches
            .filter_map(|(id, edge)| {
                let element = edge.element().filter(|element| keep(*element))?;
                Some(if model[element].kind.is_closed(mode)? { Change::Closed(id) } else { Change::Open(id) })
            })
            .collect()
    }

    /// The state with the plug in, the hands as for driving and some wires open: controllers that permit close their contacts. What is not
    /// known of controllers is handed out with it.
    fn state(&self, setting: &Setting<'_>, from: &Probing<'_>, cut: &[EdgeId]) -> Option<(Probed, Vec<Change>, Option<Why>)> {
        let mut changes: Vec<Change> = cut.iter().map(|edge| Change::Open(*edge)).collect();
        let mut state = from.with(&changes)?;
        let dead = if cut.is_empty() { Vec::new() } else { self.dead(setting, &state) };
        if !dead.is_empty() {
            changes.extend(self.let_go(&dead));
            state = from.with(&changes)?;
        }
        let mut unknown = None;
        let controllers = self.gates.iter().filter(|gate| gate.is_controller && !dead.contains(&gate.device));
        let mut closing = Vec::new();
        for gate in controllers {
            match self.permits(gate, &state, setting, cut) {
                Permit::Yes => closing.push(gate.device),
                Permit::No => {}
                Permit::Unknown(why) => unknown = unknown.or(Some(why)),
            }
        }
        if !closing.is_empty() {
            changes.extend(self.released(setting.driving, &closing, |_| true));
            state = from.with(&changes)?;
        }
        Some((state, changes, unknown))
    }

    /// The contacts of boxes as they are in a mode of driving.
    fn released(&self, driving: ModeId, devices: &[DeviceId], keep: impl Fn(ElementId) -> bool) -> Vec<Change> {
        let model = self.facts.model();
        self.contacts(driving, |element| match model[element].owner {
            Owner::Device(device) => devices.contains(&device) && keep(element),
            Owner::Loom(_) => false,
        })
    }

    /// Boxes with electronics that get nothing in a state, and do while nothing is cut.
    fn dead(&self, setting: &Setting<'_>, state: &Probed) -> Vec<DeviceId> {
        let model = self.facts.model();
        let mut fed: Vec<(DeviceId, bool)> = Vec::new();
        for (_, element) in model.elements() {
            let Owner::Device(device) = element.owner else { continue };
            let needs = is_electronics(element) || (element.kind.drives() && !element.kind.is_source());
            let (Some(from), Some(to)) = (element.points.first(), element.points.get(1)) else { continue };
            if !needs || !is_fed(setting.whole, *from, *to) {
                continue;
            }
            let is_fed = is_fed(state, *from, *to);
            match fed.iter_mut().find(|(known, _)| *known == device) {
                Some((_, any)) => *any |= is_fed,
                None => fed.push((device, is_fed)),
            }
        }
        fed.into_iter().filter(|(_, is_fed)| !is_fed).map(|(device, _)| device).collect()
    }

    /// The contacts that open with the supply of their boxes.
    fn let_go(&self, devices: &[DeviceId]) -> Vec<Change> {
        let (network, model) = (self.facts.network(), self.facts.model());
        let is_of = |element: ElementId| matches!(model[element].owner, Owner::Device(device) if devices.contains(&device));
        let switches = network.edges().filter(|(_, edge)| matches!(edge.role, EdgeRole::Switch { .. }));
        switches.filter(|(_, edge)| edge.element().is_some_and(is_of)).map(|(id, _)| Change::Open(id)).collect()
    }

    fn judge(&self, setting: &Setting<'_>, found: &mut DriveGates) {
        let hands = [setting.hands.as_slice(), &setting.plug].concat();
        let Some(from) = self.facts.electrical().probing(setting.charging, hands) else { return };
        let Some((state, changes, unknown)) = self.state(setting, &from, &[]) else { return };
        if !state.is_settled() {
            return;
        }
        let mut is_safe = true;
        for gate in self.gates.iter().filter(|gate| !gate.is_controller) {
            match self.permits(gate, &state, setting, &[]) {
                Permit::No => {}
                Permit::Yes if self.is_by_message(gate, &state, setting) => {
                    is_safe = false;
                    found.unjudged.extend(self.deciders(gate).map(|decider| Unjudged::Decides(gate.device, decider)));
                }
                Permit::Yes if setting.doubtful.is_some() => {
                    is_safe = false;
                    found.unjudged.extend(setting.doubtful.map(Unjudged::MovedBy));
                }
                Permit::Yes => {
                    is_safe = false;
                    let open = self.open_gate(gate, &state, setting);
                    if found.open.iter().all(|known| known.device != open.device) {
                        found.open.push(open);
                    }
                }
                Permit::Unknown(why) => {
                    is_safe = false;
                    found.unjudged.push(unjudged(why));
                }
            }
        }
        if let Some(why) = unknown {
            is_safe = false;
            found.unjudged.push(unjudged(why));
        }
        if !is_safe {
            return;
        }
        // What stays open only because of what a box decides, without a pin that inhibits it, is not known to stay open.
        if let Some((gate, decider)) = self.rests_on_decision(setting, &from, changes) {
            found.unjudged.push(Unjudged::Decides(gate, decider));
            return;
        }
        // A signal that is not there or says nothing, and an earth that is not there, are findings of their own.
        let mut inhibits = self.gates.iter().flat_map(|gate| &gate.inhibits);
        let says_nothing = |(point, guard): &(PointId, Guard)| {
            let is_signal = matches!(self.facts.model().role_at(*point), Some(Role::Pilot | Role::Proximity));
            let reads = || reading::of(self.facts, &state, Some(setting.idle), &[], *point, *guard);
            self.facts.unconnected().contains(point) || (is_signal && reads() == Reading::Inactive)
        };
        if is_earthed(self.facts, setting.inlet) && !inhibits.any(says_nothing) {
            self.open_wires(setting, &from, found);
        }
    }

    fn open_gate(&self, gate: &Gate, state: &Probed, setting: &Setting<'_>) -> OpenGate {
        let level = |(point, _): &(PointId, Guard)| (*point, reading::level(self.facts, state, *point));
        let controllers = self.gates.iter().filter(|other| other.is_controller);
        OpenGate {
            device: gate.device,
            enables: gate.enables.iter().map(level).collect(),
            inhibits: gate.inhibits.iter().chain(controllers.flat_map(|other| &other.inhibits)).map(level).collect(),
            charging: setting.charging,
            driving: setting.driving,
        }
    }

    /// Whether another gate inhibits the drive and is on a bus with this one: what it does then is in messages.
    fn is_by_message(&self, gate: &Gate, state: &Probed, setting: &Setting<'_>) -> bool {
        let on_bus = |device: DeviceId| self.facts.pins().of_device(device).iter().any(|pin| is_bus(pin.role));
        let inhibits = |other: &Gate| {
            !other.inhibits.is_empty() && self.permits(other, state, setting, &[]) == Permit::No && on_bus(other.device)
        };
        on_bus(gate.device) && self.gates.iter().any(|other| other.device != gate.device && inhibits(other))
    }

    fn deciders<'s>(&'s self, gate: &'s Gate) -> impl Iterator<Item = DeviceId> + 's {
        let others = self.gates.iter().filter(|other| other.device != gate.device && !other.inhibits.is_empty());
        others.map(|other| other.device).take(1)
    }

    /// A gate that permits the drive once a box that decides by itself closes its contacts, and that box.
    fn rests_on_decision(&self, setting: &Setting<'_>, from: &Probing<'_>, mut all: Vec<Change>) -> Option<(DeviceId, DeviceId)> {
        let (facts, model) = (self.facts, self.facts.model());
        let free: Vec<DeviceId> = model
            .devices()
            .map(|(id, _)| id)
            .filter(|device| *device != setting.inlet.device && !self.is_gate(*device) && decides(facts, *device))
            .collect();
        // What a box does while it charges and at no other time, it does by the plug.
        let others = self.idle_modes(setting.inlet);
        let is_free = |element: ElementId| others.len() < 2 || !self.is_by_plug(&others, setting.charging, element);
        all.extend(self.released(setting.driving, &free, is_free));
        let state = from.with(&all)?;
        let gate = self
            .gates
            .iter()
            .filter(|gate| !gate.is_controller)
            .find(|gate| matches!(self.permits(gate, &state, setting, &[]), Permit::Yes))?;
        let reached =
            gate.enables.iter().chain(&gate.inhibits).flat_map(|(point, _)| wires::region(facts, *point).reached().to_vec());
        let decider = reached.filter_map(|point| model.device_at(point)).find(|device| free.contains(device))?;
        Some((gate.device, decider))
    }

    /// Opens each wire between the gates, the inlet and their supplies alone.
    fn open_wires(&self, setting: &Setting<'_>, from: &Probing<'_>, found: &mut DriveGates) {
        let facts = self.facts;
        let pins: Vec<(PointId, Guard)> =
            self.gates.iter().flat_map(|gate| gate.inhibits.iter().chain(&gate.enables)).copied().collect();
        let mut done: Vec<EdgeId> = Vec::new();
        for (point, guard) in pins {
            let mut unsafe_wires: Vec<(DeviceId, bool, WireId, PinLevel)> = Vec::new();
            let mut known: FxHashMap<EdgeId, Vec<(DeviceId, bool, PinLevel)>> = FxHashMap::default();
            for (edge, wire) in wires::between(facts, setting.inlet, Some(setting.charging), point) {
                if done.contains(&edge) {
                    continue;
                }
                done.push(edge);
                let permitted = known
                    .entry(wires::in_series(facts, edge))
                    .or_insert_with(|| self.permitted_without(setting, from, edge, point));
                unsafe_wires.extend(permitted.iter().map(|(gate, floats, level)| (*gate, *floats, wire, *level)));
            }
            let Some((device, floats, _, level)) = unsafe_wires.first().copied() else { continue };
            let wires: Vec<WireId> = unsafe_wires.iter().filter(|(of, ..)| *of == device).map(|(_, _, wire, _)| *wire).collect();
            if found.unsafe_wires.iter().all(|known| known.wires != wires) {
                found.unsafe_wires.push(UnsafeWires { device, point, guard, level, floats, wires, charging: setting.charging });
            }
        }
    }

    /// The boxes that permit the drive with a wire open, each with whether nothing holds what decides, and with the level of a pin.
    fn permitted_without(
        &self,
        setting: &Setting<'_>,
        from: &Probing<'_>,
        edge: EdgeId,
        point: PointId,
    ) -> Vec<(DeviceId, bool, PinLevel)> {
        let Some((state, ..)) = self.state(setting, from, &[edge]) else { return Vec::new() };
        let dead = self.dead(setting, &state);
        let gates = self.gates.iter().filter(|gate| !gate.is_controller && !dead.contains(&gate.device));
        gates
            .filter_map(|gate| {
                let floats = match self.permits(gate, &state, setting, &[edge]) {
                    Permit::Yes => false,
                    Permit::Unknown(Why::Floats(_)) => true,
                    Permit::No | Permit::Unknown(Why::Undrawn(_) | Why::Message(_)) => return None,
                };
                Some((gate.device, floats, reading::level(self.facts, &state, point)))
            })
            .collect()
    }
}

/// Whether a voltage is between two points.
fn is_fed(state: &Probed, from: PointId, to: PointId) -> bool {
    state.between(from, to).is_some_and(|volts| volts.get().abs() > level_tolerance().value.get())
}

fn unjudged(why: Why) -> Unjudged {
    match why {
        Why::Floats(point) | Why::Undrawn(point) => Unjudged::Undrawn(point),
        Why::Message(point) => Unjudged::Message(point),
    }
}
