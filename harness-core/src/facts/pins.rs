//! The pins and studs of fitted devices, by the net and the run of wires that they are on and by their device.

use super::{
    Facts,
    names::{Label, Named},
};
use crate::{
    arena::IdVec,
    model::{DeviceId, DomainId, Model, Owner, PinId, PointId},
    network::{Components, Edge, GroupId, NetId, Network},
    text::Span,
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
    /// Pins whose signal is written once, in a device kind, for several devices.
    of_kinds: FxHashSet<PinId>,
    /// The same pins, those of one place together.
    twins: Vec<Vec<PinAt>>,
    /// Signals that a pin names at its own device.
    own_names: FxHashSet<u32>,
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
            of_kinds: FxHashSet::default(),
            twins: Vec::new(),
            own_names: FxHashSet::default(),
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
        pins.find_twins(model);
        pins
    }

    /// Finds the pins that have their signal from a device kind: it is written at one place for several devices.
    fn find_twins(&mut self, model: &Model) {
        let mut by_place: FxHashMap<Span, usize> = FxHashMap::default();
        let mut places: Vec<Vec<PinAt>> = Vec::new();
        for pin in self.in_order.iter().flat_map(|run| self.by_run.get(run).into_iter().flatten()) {
            let Some(signal) = model[pin.pin].signal else { continue };
            let place = *by_place.entry(signal.span).or_insert(places.len());
            if place == places.len() {
                places.push(Vec::new());
            }
            if let Some(at) = places.get_mut(place) {
                at.push(*pin);
            }
        }
        for mut place in places {
            if place.iter().any(|pin| place.first().is_some_and(|first| first.device != pin.device)) {
                place.sort_unstable_by_key(|pin| pin.point);
                self.of_kinds.extend(place.iter().map(|pin| pin.pin));
                self.twins.push(place);
            } else {
                self.own_names.extend(place.iter().filter_map(|pin| pin.signal));
            }
        }
        self.twins.sort_unstable_by_key(|place| place.first().map(|pin| pin.point));
    }

    /// Pins that have one name from one place of a device kind, of several devices; in the order of their points.
    pub fn twins(&self) -> impl Iterator<Item = &[PinAt]> {
        self.twins.iter().map(Vec::as_slice)
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

    /// Whether the name of a pin is written in a device kind, for several devices: it can't say what each of them is for.
    #[must_use]
    pub fn is_of_a_kind(&self, pin: &PinAt) -> bool {
        self.of_kinds.contains(&pin.pin)
    }

    /// Whether a pin that has its name from a device kind may be joined to `other`: no device has that name of its own, no other pin of
    /// the pin's device has more words of the other name, and the two do not say the opposite.
    #[must_use]
    pub fn fits_best(&self, pin: &PinAt, other: &PinAt) -> bool {
        if !self.is_of_a_kind(pin) || pin.signal.is_some_and(|signal| self.own_names.contains(&signal)) {
            return false;
        }
        let (Some(own), Some(theirs)) = (self.named_as(pin), self.named_as(other)) else { return false };
        let shared = own.label.words_shared(theirs.label);
        let fits_better = |pin: &PinAt| self.named_as(pin).is_some_and(|named| named.label.words_shared(theirs.label) > shared);
        !own.label.is_opposite_of(theirs.label) && !self.of_device(pin.device).iter().any(fits_better)
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
pub(super) fn is_in_loom(model: &Model, edge: &Edge) -> bool {
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
