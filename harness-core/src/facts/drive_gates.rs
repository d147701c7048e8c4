//! Whether a vehicle can drive off with the charging plug in: what its drive is enabled and inhibited by, with the plug in, the driver's
//! controls as for driving, and each single wire of the inhibit open.
//!
//! A gate is a box with pins that say `enables: drive` or `inhibits: drive`. A gate that another gate's pins lead to is a controller:
//! its own contacts close only while it permits. A contact that is in one position while it charges and in the other in all other modes is moved
//! by the plug or its flap, and stays; all others that a hand moves (a key, a lever, a selector) are set as in a mode in which the vehicle drives;
//! those of boxes that decide by themselves stay as they are, and where the answer rests on them it is not known. The plug is joined from
//! outside where the design does not draw it. What a box does while it charges and in no other mode counts as done by the plug; a box that an open
//! wire leaves without its supply lets its contacts go.
//!
//! Protective earth is not opened: its loss ends the charge at the station, and it is judged as an earth.
//!
//! Cost: nothing without an inlet and such pins; else for each mode of charging and of driving three solutions, and two for each wire
//! between the gates, the inlet and their supplies.

pub mod reading;
mod search;
pub(in crate::facts) mod wires;

use super::Facts;
use crate::{
    model::{DeviceId, ElementId, Guard, ModeId, Owner, PointId, WireId},
    vocabulary::{LoadKind, Permission, Role},
};
use reading::{PinLevel, Why};
use search::Search;

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
    /// Its level then.
    pub level: PinLevel,
}

/// A gate that permits the drive with the plug in.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenGate {
    /// The box.
    pub device: DeviceId,
    /// Its pins that enable the drive, with their levels.
    pub enables: Vec<(PointId, PinLevel)>,
    /// Pins that inhibit it and don't, with their levels: of the box, and of the controllers before it.
    pub inhibits: Vec<(PointId, PinLevel)>,
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
    /// A pin that is not at the level at which it should be.
    pub point: PointId,
    /// What that pin says.
    pub guard: Guard,
    /// Its level with the first of the wires open.
    pub level: PinLevel,
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
    for (at, inlet) in facts.inlets().iter().enumerate() {
        search.on_charge(at, inlet, &mut found);
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
    by_pins || own().any(|(_, element)| element.kind.drives() || is_electronics(element))
}

fn is_electronics(element: &crate::model::Element) -> bool {
    matches!(&element.kind, crate::model::ElementKind::Load { kind: Some(LoadKind::Electronics), .. })
}
