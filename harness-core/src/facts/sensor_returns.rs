//! Returns of sensors that carry the current of something else, or are grounded a second time.
//!
//! The idea: a controller has a pin for the return of a sensor beside the return of its own supply. It is known by its role, or by its name: that of
//! a return with the word `sensor` or a word of one of the controller's inputs. What else is on the wires of that pin, or behind the bars of the sensor,
//! should be sensors alone.
//!
//! Cost: a pass over the pins; for each such pin the pins of its run.

use super::{
    Facts,
    names::Label,
    pins::{PinAt, Pins},
};
use crate::{
    model::{DeviceId, ElementKind, Model, Owner, PointId},
    network::{Edge, EdgeId, EdgeKind, EdgeRole, MetalKind, Network},
    vocabulary::{LoadKind, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Returns of sensors that are not private, by the pin of the controller.
    ///
    /// Asked by `netlist/shared-sensor-return`.
    #[must_use]
    pub fn shared_sensor_returns(&self) -> Vec<SharedReturn> {
        let look = Look { facts: self, pins: self.pins(), loads: loads(self.model()) };
        look.pins.nets().flat_map(|net| look.pins.of(net)).filter_map(|pin| look.shared(pin)).collect()
    }
}

/// The return of a sensor that is not private.
#[derive(Debug, Clone, Copy)]
pub struct SharedReturn {
    /// The pin of the controller.
    pub reader: PointId,
    /// The pin of the sensor.
    pub sensor: PointId,
    /// What is on it too.
    pub other: PointId,
    /// What that does.
    pub with: SharedWith,
}

/// What the return of a sensor is shared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SharedWith {
    /// The chassis, an earth or the pole of a source: it has two grounds.
    Ground,
    /// A load, whose current it carries.
    Load,
    /// The body of the sensor is joined to its return inside, and to the chassis.
    Body,
}

/// The points of loads that may run on the return of a sensor, and whether they work by current alone.
fn loads(model: &Model) -> FxHashMap<PointId, bool> {
    let mut found = FxHashMap::default();
    for (_, element) in model.elements() {
        let (ElementKind::Load { kind, .. }, Owner::Device(_)) = (&element.kind, element.owner) else { continue };
        if *kind == Some(LoadKind::Sensor) {
            continue;
        }
        found.extend(element.points.iter().map(|point| (*point, kind.is_some_and(LoadKind::works_when_fed))));
    }
    found
}

struct Look<'a> {
    facts: &'a Facts,
    pins: &'a Pins,
    loads: FxHashMap<PointId, bool>,
}

impl Look<'_> {
    fn label(&self, pin: &PinAt) -> Option<&Label> {
        self.pins.named_as(pin).map(|named| named.label)
    }

    /// Whether a pin is one for the return of a sensor, by its role or its name.
    fn is_private(&self, pin: &PinAt) -> bool {
        let (own, has_own_ground) = (self.pins.of_device(pin.device), self.has_own_ground(pin));
        match pin.role {
            Some(Role::SensorReturn) => has_own_ground,
            None | Some(Role::Return) if has_own_ground => {
                let Some(label) = self.label(pin) else { return false };
                let has = |word: &str| label.words.iter().any(|own| own == word);
                let inputs = own.iter().filter(|other| other.role == Some(Role::Input)).filter_map(|other| self.label(other));
                let is_named = ["return", "ground", "-", "common"].into_iter().any(has);
                is_named && (has("sensor") || inputs.into_iter().any(|input| input.words_shared(label) > 0))
            }
            _ => false,
        }
    }

    fn shared(&self, pin: &PinAt) -> Option<SharedReturn> {
        let (facts, model) = (self.facts, self.facts.model());
        // What has a source or is the chassis reads nothing.
        if model[pin.device].chassis || !self.is_private(pin) {
            return None;
        }
        let run = self.pins.of_run(self.pins.run(pin.point));
        let others = || run.iter().filter(|other| other.device != pin.device);
        // Names that differ on the same wires are reported by them.
        if facts.mixed_signals().iter().any(|mixed| mixed.runs.contains(&self.pins.run(pin.point))) {
            return None;
        }
        let sensor = others().find(|other| self.is_sensor(other, pin.device))?.point;
        let found = |other: PointId, with: SharedWith| SharedReturn { reader: pin.point, sensor, other, with };
        // A return by its role that meets a ground or load is reported by the roles.
        if pin.role != Some(Role::SensorReturn) {
            if let Some(other) = others().find(|other| self.is_load(other, pin.device)) {
                return Some(found(other.point, SharedWith::Load));
            }
            let grounds: FxHashSet<PointId> = others().filter(|other| self.is_ground(other)).map(|other| other.point).collect();
            if let Some(near) = self.nearest(pin.point, &grounds) {
                return Some(found(near, SharedWith::Ground));
            }
        }
        let bodies = others().filter(|other| self.is_sensor(other, pin.device) && !self.has_own_ground(other));
        let body = bodies.into_iter().find_map(|other| self.body(other))?;
        Some(found(body, SharedWith::Body))
    }

    /// Whether the device of a pin gives a signal to the reader by another pin.
    fn is_sensor(&self, pin: &PinAt, reader: DeviceId) -> bool {
        let is_read = |other: &PinAt| {
            other.point != pin.point
                && self
                    .pins
                    .of_run(self.pins.run(other.point))
                    .iter()
                    .any(|at| at.device == reader && at.role == Some(Role::Input))
        };
        !self.is_ground(pin) && self.pins.of_device(pin.device).iter().any(is_read)
    }

    /// Whether the device of a pin has a ground for its own supply beside it; a body that is bolted to the chassis is none.
    fn has_own_ground(&self, pin: &PinAt) -> bool {
        let model = self.facts.model();
        let is_body = |point: PointId| model.port_at(point).is_some_and(|port| model[port].body.is_some());
        let is_return = |other: &PinAt| matches!(other.role, Some(Role::Return | Role::Chassis)) && !is_body(other.point);
        self.pins.of_device(pin.device).iter().any(|other| other.point != pin.point && is_return(other))
    }

    /// The point of some that is the nearest by wires and contacts.
    fn nearest(&self, from: PointId, some: &FxHashSet<PointId>) -> Option<PointId> {
        if some.is_empty() {
            return None;
        }
        let is_way =
            |_: EdgeId, edge: &Edge| edge.is_metal() && !matches!(edge.kind, EdgeKind::Element(_) | EdgeKind::Chassis(_));
        let steps = self.facts.network().path(from, |point| some.contains(&point), is_way);
        steps.and_then(|steps| Some(steps.last()?.point)).or(some.iter().min().copied())
    }

    fn is_ground(&self, pin: &PinAt) -> bool {
        let model = self.facts.model();
        let is_pole = || self.facts.network().around(pin.point).any(|(_, edge, _)| matches!(edge.role, EdgeRole::Source { .. }));
        matches!(pin.role, Some(Role::Chassis | Role::Earth)) || model[pin.device].chassis || is_pole()
    }

    /// Whether a load is at a pin: electronics that give the reader a signal are a sensor.
    fn is_load(&self, pin: &PinAt, reader: DeviceId) -> bool {
        self.loads.get(&pin.point).is_some_and(|works| *works || !self.is_sensor(pin, reader))
    }

    /// A point of the chassis that the bars inside a sensor join to its return.
    fn body(&self, pin: &PinAt) -> Option<PointId> {
        let (model, network): (&Model, &Network) = (self.facts.model(), self.facts.network());
        let inside = network.walk([pin.point], |_, edge| {
            matches!(edge.kind, EdgeKind::Element(_)) && edge.role == EdgeRole::Metal(MetalKind::Bar)
        });
        let run = self.pins.run(pin.point);
        let seen: FxHashSet<PointId> = inside.reached().iter().copied().filter(|point| self.pins.run(*point) != run).collect();
        let mut grounds =
            inside.reached().iter().filter(|point| seen.contains(point) && model.device_at(**point) == Some(pin.device));
        grounds.find_map(|point| {
            let bolted = network.around(*point).find(|(_, edge, _)| matches!(edge.kind, EdgeKind::Chassis(_)));
            let wired = || {
                self.pins.of_run(self.pins.run(*point)).iter().find(|other| other.device != pin.device && self.is_ground(other))
            };
            bolted.map(|(_, _, other)| other).or_else(|| wired().map(|other| other.point))
        })
    }
}
