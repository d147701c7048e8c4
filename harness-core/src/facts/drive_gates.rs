//! Whether a vehicle can drive off with the charging plug in: what its drive is enabled and inhibited by, with the plug in, the driver's
//! controls as for driving, and each single wire of the inhibit open.
//!
//! A gate is a box with pins that say `enables: drive` or `inhibits: drive`. A gate that another gate's pins lead to is a controller:
//! its own contacts close only while it permits. A contact that is in one position while it charges and in the other in all other modes is moved
//! by the plug or its flap, and stays; all others that a hand moves (a key, a lever, a selector) are set as in a mode in which the vehicle drives;
//! those of boxes that decide by themselves stay as they are, and where the answer rests on them it is not known. The plug is joined from
//! outside where the design does not draw it.
//!
//! Protective earth is not opened: its loss ends the charge at the station, and it is judged as an earth.
//!
//! Cost: nothing without an inlet and such pins; else for each mode of charging and of driving three solutions, and two for each wire
//! between the gates, the inlet and their supplies.

pub(in crate::facts) mod reading;
pub(in crate::facts) mod wires;

use super::{
    Facts,
    inlets::ChargingInlet,
    pilot_circuits::{is_earthed, unplugged},
};
use crate::{
    electrical::{Outside, Probed, what_if::Change},
    model::{DeviceId, ElementId, Guard, ModeId, Model, Owner, PointId, WireId},
    network::{EdgeId, EdgeRole},
    vocabulary::{LoadKind, Permission, Role},
};
use reading::{Reading, Why};

impl Facts {
    /// What was found of driving off on charge.
    ///
    /// Asked by `charging/drives-on-charge` and for the missing facts.
    #[must_use]
    pub fn drive_gates(&self) -> &DriveGates {
        self.made.drive_gates.get_or_init(|| drive_gates(self))
    }
}

/// What was found.
#[derive(Debug, Default)]
pub struct DriveGates {
    /// Pins that enable the drive in a mode in which the vehicle may not move.
    pub enabled: Vec<EnabledPin>,
    /// Gates that permit the drive with the plug in.
    pub open: Vec<OpenGate>,
    /// Single wires that permit it once they are open.
    pub unsafe_wires: Vec<UnsafeWires>,
    /// What could not be judged.
    pub unjudged: Vec<Unjudged>,
    /// Whether the design has any pin that says what it does to the drive.
    pub has_gates: bool,
}

/// A pin that enables the drive where nothing may.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnabledPin {
    /// The pin.
    pub point: PointId,
    /// What it says.
    pub guard: Guard,
    /// The mode.
    pub mode: ModeId,
}

/// A gate that permits the drive with the plug in.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenGate {
    /// The box.
    pub device: DeviceId,
    /// Its pins that enable the drive.
    pub enables: Vec<PointId>,
    /// Pins that inhibit it and don't: of the box, and of the controllers before it.
    pub inhibits: Vec<PointId>,
    /// The mode of charging.
    pub charging: ModeId,
    /// The mode from which the driver's controls are taken.
    pub driving: ModeId,
}

/// Wires of which each alone permits the drive once it is open.
#[derive(Debug, Clone, PartialEq)]
pub struct UnsafeWires {
    /// The box that then permits it.
    pub device: DeviceId,
    /// A pin whose level is no longer what it should be.
    pub point: PointId,
    /// What that pin says.
    pub guard: Guard,
    /// Whether nothing holds the pin then.
    pub floats: bool,
    /// The wires, in the order from the pin.
    pub wires: Vec<WireId>,
    /// The mode of charging.
    pub charging: ModeId,
}

/// Why it is not known whether the vehicle can drive off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unjudged {
    /// The box decides it, by what no wire shows.
    Decides(DeviceId, DeviceId),
    /// A pin of a bus: what it says is in messages.
    Message(PointId),
    /// An output of which the inside is not drawn.
    Undrawn(PointId),
    /// The pin is at the level that permits the drive in no mode.
    NeverEnabled(PointId),
    /// A contact that the driver or the plug moves: the design has one mode beside those of charging.
    MovedBy(ElementId),
}

/// A box with pins that say what they do to the drive.
#[derive(Debug)]
struct Gate {
    device: DeviceId,
    enables: Vec<(PointId, Guard)>,
    inhibits: Vec<(PointId, Guard)>,
    messages: Vec<PointId>,
    is_controller: bool,
}

/// What a gate permits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Permit {
    Yes,
    No,
    Unknown(Why),
}

fn drive_gates(facts: &Facts) -> DriveGates {
    let model = facts.model();
    let mut found = DriveGates::default();
    let mut gates = gates(facts);
    found.has_gates = !gates.is_empty();
    if gates.is_empty() {
        return found;
    }
    mark_controllers(facts, &mut gates);
    let search = Search { facts, gates: &gates };
    for state in facts.electrical().modes().filter(|state| model[state.id].immobile) {
        search.enabled(state.id, &mut found.enabled);
    }
    for inlet in facts.inlets() {
        search.on_charge(inlet, &mut found);
    }
    found.unjudged.sort_unstable();
    found.unjudged.dedup();
    found
}

fn is_bus(role: Option<Role>) -> bool {
    matches!(role, Some(Role::CanHigh | Role::CanLow | Role::Lin))
}

/// The gates of a design, by device.
fn gates(facts: &Facts) -> Vec<Gate> {
    let model = facts.model();
    let mut found: Vec<Gate> = Vec::new();
    for (point, item) in model.points() {
        let (Some(pin), Some(device)) = (item.pin, model.device_at(point)) else { continue };
        let guards: Vec<Guard> = model[pin].guards.iter().filter(|guard| guard.what == Permission::Drive).copied().collect();
        // An output says what it does at the box that it leads to.
        if guards.is_empty() || !model.is_fitted(point) || model.role_at(point) == Some(Role::Output) {
            continue;
        }
        if found.last().is_none_or(|gate| gate.device != device) {
            let (enables, inhibits, messages) = (Vec::new(), Vec::new(), Vec::new());
            found.push(Gate { device, enables, inhibits, messages, is_controller: false });
        }
        let Some(gate) = found.last_mut() else { continue };
        for guard in guards {
            if is_bus(model.role_at(point)) {
                gate.messages.push(point);
            } else if guard.permits {
                gate.enables.push((point, guard));
            } else {
                gate.inhibits.push((point, guard));
            }
        }
    }
    found
}

/// A gate to which the pins of another one lead is a controller; where all are, none is.
fn mark_controllers(facts: &Facts, gates: &mut [Gate]) {
    let model = facts.model();
    let mut controllers = Vec::new();
    for gate in &*gates {
        let others = |point: &PointId| model.device_at(*point).filter(|device| *device != gate.device);
        for (point, _) in gate.enables.iter().chain(&gate.inhibits) {
            controllers.extend(wires::region(facts, *point).reached().iter().filter_map(others));
        }
    }
    let is_one = |gate: &Gate| controllers.contains(&gate.device);
    if gates.iter().all(is_one) {
        return;
    }
    for gate in gates {
        gate.is_controller = is_one(gate);
    }
}

/// Whether a box decides by itself what its contacts do.
fn decides(facts: &Facts, device: DeviceId) -> bool {
    let model = facts.model();
    let by_pins = facts
        .pins()
        .of_device(device)
        .iter()
        .any(|pin| is_bus(pin.role) || matches!(pin.role, Some(Role::Pilot | Role::Proximity)));
    let own = || model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
    by_pins || own().any(|(_, element)| element.kind.drives() || is_electronics(model, element))
}

fn is_electronics(_: &Model, element: &crate::model::Element) -> bool {
    matches!(&element.kind, crate::model::ElementKind::Load { kind: Some(LoadKind::Electronics), .. })
}

struct Search<'a> {
    facts: &'a Facts,
    gates: &'a [Gate],
}

/// What is set for a search: the modes, what a hand moves, what is plugged in.
struct Setting<'a> {
    charging: ModeId,
    driving: ModeId,
    hands: Vec<Change>,
    /// A contact of which it is not known whether a hand or the plug moves it.
    doubtful: Option<ElementId>,
    plug: Vec<Outside>,
    /// With nothing plugged in, for the levels of proximity contacts.
    idle: &'a Probed,
    inlet: &'a ChargingInlet,
}

impl Search<'_> {
    /// Pins that enable the drive in a mode in which nothing may.
    fn enabled(&self, mode: ModeId, found: &mut Vec<EnabledPin>) {
        let facts = self.facts;
        let inlet = facts.inlets().iter().find(|inlet| inlet.charges_in(facts.model(), mode));
        let plug = inlet.map_or_else(Vec::new, |inlet| inlet.plug(facts, mode));
        let Some(state) = facts.electrical().probe(mode, &[], &plug) else { return };
        let idle = inlet.and_then(|inlet| facts.electrical().probe(mode, &unplugged(facts, inlet), &[]));
        let read = |(point, guard): &(PointId, Guard)| reading::of(facts, &state, idle.as_ref(), &[], *point, *guard);
        for gate in self.gates {
            if gate.inhibits.iter().any(|pin| read(pin) == Reading::Active) {
                continue;
            }
            let active = gate.enables.iter().filter(|pin| read(pin) == Reading::Active);
            found.extend(active.map(|(point, guard)| EnabledPin { point: *point, guard: *guard, mode }));
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

    fn on_charge(&self, inlet: &ChargingInlet, found: &mut DriveGates) {
        let (facts, model, electrical) = (self.facts, self.facts.model(), self.facts.electrical());
        let charging: Vec<ModeId> =
            electrical.modes().map(|state| state.id).filter(|mode| inlet.charges_in(model, *mode)).collect();
        let out = unplugged(facts, inlet);
        for charging in charging {
            let Some(idle) = electrical.probe(charging, &out, &[]) else { continue };
            let driving = self.driving_modes(inlet, &out);
            let driving = if driving.is_empty() { self.never_enabled(inlet, found) } else { driving };
            for driving in driving {
                let (hands, doubtful) = self.hands(inlet, charging, driving);
                let plug = inlet.plug(facts, charging);
                let setting = Setting { charging, driving, hands, doubtful, plug, idle: &idle, inlet };
                self.judge(&setting, found);
            }
        }
    }

    /// The modes in which a gate that is no controller permits the drive.
    fn driving_modes(&self, inlet: &ChargingInlet, out: &[Change]) -> Vec<ModeId> {
        let (facts, model) = (self.facts, self.facts.model());
        let modes = facts.electrical().modes().map(|state| state.id);
        let free = modes.filter(|mode| !model[*mode].immobile && !model[*mode].touch_safe && !inlet.plugged.has(*mode));
        free.filter(|mode| {
            let Some(state) = facts.electrical().probe(*mode, out, &[]) else { return false };
            let (hands, doubtful, plug) = (Vec::new(), None, Vec::new());
            let setting = Setting { charging: *mode, driving: *mode, hands, doubtful, plug, idle: &state, inlet };
            let finals = self.gates.iter().filter(|gate| !gate.is_controller);
            finals.into_iter().any(|gate| self.permits(gate, &state, &setting, &[]) != Permit::No)
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
        let others: Vec<ModeId> =
            facts.electrical().modes().map(|state| state.id).filter(|mode| !inlet.charges_in(model, *mode)).collect();
        // The positions of a selector are a hand's.
        let is_by_plug = |element: ElementId| {
            let closed = |mode: ModeId| model[element].kind.is_closed(mode);
            model[element].kind.throw().is_none() && others.iter().all(|mode| closed(*mode) != closed(charging))
        };
        let is_doubtful = |element: ElementId| others.len() == 1 && is_by_plug(element);
        let hands =
            self.contacts(driving, |element| is_moved(model[element].owner) && (is_doubtful(element) || !is_by_plug(element)));
        let network = facts.network();
        let doubtful = hands.iter().filter_map(|change| network[change.edge()?].element()).find(|element| is_doubtful(*element));
        (hands, doubtful)
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
    fn state(&self, setting: &Setting<'_>, cut: &[EdgeId]) -> Option<(Probed, Vec<Change>, Option<Why>)> {
        let electrical = self.facts.electrical();
        let mut changes = setting.hands.clone();
        changes.extend(cut.iter().map(|edge| Change::Open(*edge)));
        let mut state = electrical.probe(setting.charging, &changes, &setting.plug)?;
        let mut unknown = None;
        let controllers = self.gates.iter().filter(|gate| gate.is_controller);
        let mut closing = Vec::new();
        for gate in controllers {
            match self.permits(gate, &state, setting, cut) {
                Permit::Yes => closing.push(gate.device),
                Permit::No => {}
                Permit::Unknown(why) => unknown = unknown.or(Some(why)),
            }
        }
        if !closing.is_empty() {
            changes.extend(self.released(setting.driving, &closing));
            state = electrical.probe(setting.charging, &changes, &setting.plug)?;
        }
        Some((state, changes, unknown))
    }

    /// The contacts of boxes as they are in a mode of driving.
    fn released(&self, driving: ModeId, devices: &[DeviceId]) -> Vec<Change> {
        let model = self.facts.model();
        self.contacts(driving, |element| match model[element].owner {
            Owner::Device(device) => devices.contains(&device),
            Owner::Loom(_) => false,
        })
    }

    fn judge(&self, setting: &Setting<'_>, found: &mut DriveGates) {
        let Some((state, changes, unknown)) = self.state(setting, &[]) else { return };
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
                    let open = self.open_gate(gate, setting);
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
        if let Some((gate, decider)) = self.rests_on_decision(setting, &changes) {
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
            self.open_wires(setting, found);
        }
    }

    fn open_gate(&self, gate: &Gate, setting: &Setting<'_>) -> OpenGate {
        let controllers = self.gates.iter().filter(|other| other.is_controller);
        OpenGate {
            device: gate.device,
            enables: gate.enables.iter().map(|(point, _)| *point).collect(),
            inhibits: gate
                .inhibits
                .iter()
                .chain(controllers.flat_map(|other| &other.inhibits))
                .map(|(point, _)| *point)
                .collect(),
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
    fn rests_on_decision(&self, setting: &Setting<'_>, changes: &[Change]) -> Option<(DeviceId, DeviceId)> {
        let (facts, model) = (self.facts, self.facts.model());
        let free: Vec<DeviceId> = model
            .devices()
            .map(|(id, _)| id)
            .filter(|device| *device != setting.inlet.device && !self.is_gate(*device) && decides(facts, *device))
            .collect();
        let mut all = changes.to_vec();
        all.extend(self.released(setting.driving, &free));
        let state = facts.electrical().probe(setting.charging, &all, &setting.plug)?;
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
    fn open_wires(&self, setting: &Setting<'_>, found: &mut DriveGates) {
        let facts = self.facts;
        let pins: Vec<(PointId, Guard)> =
            self.gates.iter().flat_map(|gate| gate.inhibits.iter().chain(&gate.enables)).copied().collect();
        let mut done: Vec<EdgeId> = Vec::new();
        for (point, guard) in pins {
            let mut unsafe_wires: Vec<(DeviceId, bool, WireId)> = Vec::new();
            for (edge, wire) in wires::between(facts, setting.inlet, Some(setting.charging), point) {
                if done.contains(&edge) {
                    continue;
                }
                done.push(edge);
                let Some((state, ..)) = self.state(setting, &[edge]) else { continue };
                for gate in self.gates.iter().filter(|gate| !gate.is_controller) {
                    let floats = match self.permits(gate, &state, setting, &[edge]) {
                        Permit::Yes => false,
                        Permit::Unknown(Why::Floats(_)) => true,
                        Permit::No | Permit::Unknown(Why::Undrawn(_) | Why::Message(_)) => continue,
                    };
                    unsafe_wires.push((gate.device, floats, wire));
                }
            }
            let Some((device, floats, _)) = unsafe_wires.first().copied() else { continue };
            let wires: Vec<WireId> = unsafe_wires.iter().filter(|(of, ..)| *of == device).map(|(.., wire)| *wire).collect();
            if found.unsafe_wires.iter().all(|known| known.wires != wires) {
                found.unsafe_wires.push(UnsafeWires { device, point, guard, floats, wires, charging: setting.charging });
            }
        }
    }
}

fn unjudged(why: Why) -> Unjudged {
    match why {
        Why::Floats(point) | Why::Undrawn(point) => Unjudged::Undrawn(point),
        Why::Message(point) => Unjudged::Message(point),
    }
}
