//! The pins and studs of fitted devices, by the net and the run of wires that they are on and by their device.

use super::{
    Facts,
    names::{Label, Named},
};
use crate::{
    arena::IdVec,
    model::{DeviceId, DomainId, Model, Owner, PinId, PointId},
    network::{Components, Edge, GroupId, NetId, Network},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

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
    /// Its signal: names that are the same words, however they are spelt, have equal numbers.
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

/// What wires, contacts and splices make one conductor, whatever the devices join inside. It means nothing to another [`Pins`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RunId(GroupId);

/// The pins of every net, run and device. Cost: a pass over the points and one over the edges.
#[derive(Debug)]
pub struct Pins {
    runs: Components,
    by_run: FxHashMap<RunId, Vec<PinAt>>,
    in_order: Vec<RunId>,
    labels: Vec<Label>,
    by_net: FxHashMap<NetId, Vec<PinAt>>,
    nets: Vec<NetId>,
    by_device: FxHashMap<DeviceId, Vec<PinAt>>,
    by_signal: FxHashMap<(DeviceId, u32), Vec<PinAt>>,
    /// Positive poles of sources and outputs of converters.
    poles: FxHashSet<PointId>,
    /// Both sides of the fuses in devices: what is there is a feed, whether or not its role is written.
    fused: FxHashSet<PointId>,
}

impl Pins {
    /// Sorts the pins of a design.
    fn new(network: &Network) -> Self {
        let model = network.model();
        let mut labels: FxHashMap<&str, u32> = FxHashMap::default();
        let mut numbers: FxHashMap<String, u32> = FxHashMap::default();
        let mut pins = Self {
            runs: network.components(|_, edge| edge.role.runs_on(is_in_loom(model, edge))),
            by_run: FxHashMap::default(),
            in_order: Vec::new(),
            labels: Vec::new(),
            by_net: FxHashMap::default(),
            nets: Vec::new(),
            by_device: FxHashMap::default(),
            by_signal: FxHashMap::default(),
            poles: network.edges().filter(|(_, edge)| edge.role.drives()).map(|(_, edge)| edge.b).collect(),
            fused: fused(network),
        };
        for (point, item) in model.points() {
            let (Some(pin), Some(device)) = (item.pin, model.device_at(point)) else { continue };
            if !model.is_fitted(point) {
                continue;
            }
            let said = &model[pin];
            let signal = said.signal.map(|signal| {
                let text = model.text(signal.value).trim();
                *labels.entry(text).or_insert_with(|| {
                    let label = Label::of(text);
                    let next = pins.labels.len() as u32;
                    let number = *numbers.entry(label.key.clone()).or_insert(next);
                    if number == next {
                        pins.labels.push(label);
                    }
                    number
                })
            });
            let (domain, role) = (said.domain.map(|(domain, _)| domain), said.role.map(|role| role.value));
            let at = PinAt { point, pin, device, signal, domain, role };
            let net = network.net(point);
            let of_net = pins.by_net.entry(net).or_default();
            if of_net.is_empty() {
                pins.nets.push(net);
            }
            of_net.push(at);
            let run = RunId(pins.runs.of(point));
            let of_run = pins.by_run.entry(run).or_default();
            if of_run.is_empty() {
                pins.in_order.push(run);
            }
            of_run.push(at);
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

    /// The runs that hold pins, by their first pin.
    pub fn runs(&self) -> impl Iterator<Item = RunId> {
        self.in_order.iter().copied()
    }

    /// The run of a point.
    #[must_use]
    pub fn run(&self, point: PointId) -> RunId {
        RunId(self.runs.of(point))
    }

    /// The pins of a run; none for a run of loom points alone.
    #[must_use]
    pub fn of_run(&self, run: RunId) -> &[PinAt] {
        self.by_run.get(&run).map_or(&[], Vec::as_slice)
    }

    /// All points of a run, those of looms included.
    #[must_use]
    pub fn points_of_run(&self, run: RunId) -> &[PointId] {
        self.runs.members(run.0)
    }

    /// The name of a pin as it is compared; `None` where it has none. An output that is the pole of a source is a supply, which may be
    /// named after that source; so is a point at a fuse that names no role.
    #[must_use]
    pub fn named_as(&self, pin: &PinAt) -> Option<Named<'_>> {
        let label = self.labels.get(pin.signal? as usize)?;
        let is_pole = matches!(pin.role, Some(Role::Output) | None) && self.is_pole(pin.point);
        let is_fused = pin.role.is_none() && self.fused.contains(&pin.point);
        Some(Named { label, role: if is_pole || is_fused { Some(Role::Supply) } else { pin.role } })
    }

    /// Whether a point is the positive pole of a source or the output of a converter.
    #[must_use]
    pub fn is_pole(&self, point: PointId) -> bool {
        self.poles.contains(&point)
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

/// Both sides of the fuses in devices.
fn fused(network: &Network) -> FxHashSet<PointId> {
    let model = network.model();
    let fuses = network.edges().filter(|(_, edge)| edge.role.is_fuse() && !is_in_loom(model, edge));
    fuses.flat_map(|(_, edge)| [edge.a, edge.b]).collect()
}

/// Whether pins of two domains are a crossing: the domains differ, and one of them is of class B. Where both are of class A, a net of
/// both is looked at like any other.
#[must_use]
pub fn is_crossing(model: &Model, one: Option<DomainId>, other: Option<DomainId>) -> bool {
    let (Some(one), Some(other)) = (one, other) else { return false };
    one != other && (model[one].is_class_b() || model[other].is_class_b())
}

/// Nominal voltage over nominal voltage below which two domains are of different voltage.
pub(super) const OTHER: f64 = 0.8;

/// Whether what is made for one domain does not belong on another: their voltages differ, or one is AC and the other DC.
#[must_use]
pub fn differ(model: &Model, one: DomainId, other: DomainId) -> bool {
    let (a, b) = (&model[one], &model[other]);
    let (volts, others) = (a.nominal.get(), b.nominal.get());
    one != other && (a.ac != b.ac || volts.min(others) < OTHER * volts.max(others))
}

/// Whether an element is in a loom rather than in a device.
fn is_in_loom(model: &Model, edge: &Edge) -> bool {
    edge.element().is_some_and(|element| matches!(model[element].owner, Owner::Loom(_)))
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
