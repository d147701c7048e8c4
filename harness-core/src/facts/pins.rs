//! The pins and studs of fitted devices, by the net that they are on and by their device.

use super::Facts;
use crate::{
    arena::IdVec,
    model::{DeviceId, DomainId, Model, PinId, PointId},
    network::{NetId, Network},
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Pins by net, device and signal.
    ///
    /// Asked by the facts on signals and roles.
    #[must_use]
    pub fn pins(&self) -> &Pins {
        self.made.pins.get_or_init(|| Pins::new(self.network()))
    }
}

/// A pin or stud of a fitted device of which something is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PinAt {
    /// Its point.
    pub point: PointId,
    /// What is said of it.
    pub pin: PinId,
    /// Its device.
    pub device: DeviceId,
    /// Its signal: equal texts have equal numbers.
    pub signal: Option<u32>,
    /// Its domain, where it names one.
    pub domain: Option<DomainId>,
    /// Its role, where it names one.
    pub role: Option<Role>,
}

impl PinAt {
    /// The name of its signal; empty where it has none.
    #[must_use]
    pub fn signal_name<'m>(&self, model: &'m Model) -> &'m str {
        model[self.pin].signal.map_or("", |signal| model.text(signal.value).trim())
    }
}

/// The pins of every net and device. Cost: a pass over the points.
#[derive(Debug)]
pub struct Pins {
    by_net: FxHashMap<NetId, Vec<PinAt>>,
    nets: Vec<NetId>,
    by_device: FxHashMap<DeviceId, Vec<PinAt>>,
    by_signal: FxHashMap<(DeviceId, u32), Vec<PinAt>>,
}

impl Pins {
    /// Sorts the pins of a design.
    fn new(network: &Network) -> Self {
        let model = network.model();
        let mut numbers: FxHashMap<&str, u32> = FxHashMap::default();
        let mut pins = Self {
            by_net: FxHashMap::default(),
            nets: Vec::new(),
            by_device: FxHashMap::default(),
            by_signal: FxHashMap::default(),
        };
        for (point, item) in model.points() {
            let (Some(pin), Some(device)) = (item.pin, model.device_at(point)) else { continue };
            if !model.is_fitted(point) {
                continue;
            }
            let said = &model[pin];
            let signal = said.signal.map(|signal| {
                let next = numbers.len() as u32;
                *numbers.entry(model.text(signal.value).trim()).or_insert(next)
            });
            let (domain, role) = (said.domain.map(|(domain, _)| domain), said.role.map(|role| role.value));
            let at = PinAt { point, pin, device, signal, domain, role };
            let net = network.net(point);
            let of_net = pins.by_net.entry(net).or_default();
            if of_net.is_empty() {
                pins.nets.push(net);
            }
            of_net.push(at);
            pins.by_device.entry(device).or_default().push(at);
            if let Some(signal) = signal {
                pins.by_signal.entry((device, signal)).or_default().push(at);
            }
        }
        pins
    }

    /// The nets that hold pins, by their first pin.
    pub fn nets(&self) -> impl Iterator<Item = NetId> {
        self.nets.iter().copied()
    }

    /// The pins of a net; none for a net of loom points alone.
    #[must_use]
    pub fn of(&self, net: NetId) -> &[PinAt] {
        self.by_net.get(&net).map_or(&[], Vec::as_slice)
    }

    /// The pins of a device; none for a device that says nothing of its pins.
    #[must_use]
    pub fn of_device(&self, device: DeviceId) -> &[PinAt] {
        self.by_device.get(&device).map_or(&[], Vec::as_slice)
    }

    /// The pins of a device that name a signal.
    #[must_use]
    pub fn named(&self, device: DeviceId, signal: u32) -> &[PinAt] {
        self.by_signal.get(&(device, signal)).map_or(&[], Vec::as_slice)
    }
}

/// Whether pins of two domains are a crossing: the domains differ, and one of them is of class B. Where both are of class A, a net of
/// both is looked at like any other.
#[must_use]
pub fn is_crossing(model: &Model, one: Option<DomainId>, other: Option<DomainId>) -> bool {
    let (Some(one), Some(other)) = (one, other) else { return false };
    one != other && (model[one].is_class_b() || model[other].is_class_b())
}

/// For each point whether an element is at it: what is behind the pin is then drawn.
#[must_use]
pub fn points_of_elements(model: &Model) -> IdVec<PointId, bool> {
    let mut found = IdVec::of(false, model.points().len());
    for point in model.elements().flat_map(|(_, element)| element.points.iter()) {
        found[*point] = true;
    }
    found
}
