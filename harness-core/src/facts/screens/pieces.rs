//! Each screen by itself: its ends, what they lead to, and what its cable is for.

use crate::{
    facts::Facts,
    model::{CableId, DeviceId, Model, PointId, PortId, Wire, WireId},
    network::{Components, Edge, EdgeKind, EdgeRole, GroupId, MetalKind, Network},
    text::Span,
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;

/// From this cross-section on a core is one for power, whatever measures its voltage too; in mm2.
const POWER_CORE: f64 = 1.5;

/// What a cable is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Duty {
    /// Signals, sensors, buses: its screen is grounded at one end.
    Signal {
        /// A bus: its nodes have pins for the screen that are not grounds by themselves.
        bus: bool,
    },
    /// Power of class A.
    Power,
    /// Power of class B: its screen is grounded at both ends.
    ClassB,
}

/// Where a screen meets a ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ground {
    /// At a device, by whichever of its pins.
    Device(DeviceId),
    /// At a stud or pin of the chassis, which has many.
    Port(PortId),
    /// At a splice or another point of a loom.
    Point(PointId),
}

/// An end of a screen that is joined to something.
#[derive(Debug, Clone, Copy)]
pub struct ScreenEnd {
    /// The point of the loom.
    pub point: PointId,
    /// Where it is written.
    pub span: Span,
    /// Its place among the groups of metal without screens.
    pub(super) group: GroupId,
    /// The ground at it, and whether the design says that it is one: a pin for screens is grounded inside its box or not.
    pub ground: Option<(Ground, bool)>,
}

/// The screen of a cable.
#[derive(Debug, Clone)]
pub struct Screen {
    /// The cable.
    pub cable: CableId,
    /// What the cable is for.
    pub duty: Duty,
    /// Its ends as the design gives them: none, one or two, more where a drain wire is given beside the screen.
    pub ends: Vec<ScreenEnd>,
    /// Its cores that are wired, without a drain wire.
    pub cores: Vec<WireId>,
    /// It has a core besides one: in a coaxial cable the screen is the return.
    pub is_coaxial: bool,
}

/// What the pins of a group are.
#[derive(Debug, Clone, Default)]
pub(super) struct GroupPins {
    /// Something that is a ground for sure.
    pub(super) is_ground: bool,
    /// The devices that have a pin for screens in it.
    pub(super) screens: Vec<DeviceId>,
    /// A pin of which nothing is said.
    unknown: Option<PointId>,
    /// The first pin that gives or takes a supply or signal.
    pub(super) live: Option<PointId>,
    /// A pin of a bus, of a signal, of anything.
    roles: [bool; 3],
}

/// Whether a core is the drain wire of the screen, by its label.
fn is_drain(model: &Model, wire: &Wire) -> bool {
    let core = wire.core.and_then(|(cable, core)| model[model[cable].kind?].cores.get(core as usize));
    core.is_some_and(|core| {
        let label = model.text(core.label).to_lowercase();
        let mut words = label.split(|letter: char| !letter.is_alphanumeric());
        words.any(|word| ["drain", "screen", "shield", "scr", "shd", "shld"].contains(&word))
    })
}

/// Whether current takes the edge without a screen: metal other than screens and drain wires.
pub(super) fn is_other_metal(model: &Model, edge: &Edge) -> bool {
    match edge.kind {
        EdgeKind::Screen(_) => false,
        EdgeKind::Wire(wire) => !is_drain(model, &model[wire]),
        EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => edge.is_metal(),
    }
}

/// What a role is to a screen that leads to it.
pub(super) const fn is_live(role: Role) -> bool {
    match role {
        Role::Supply | Role::Line | Role::Reference | Role::Phase | Role::Input | Role::Output | Role::Bidirectional => true,
        Role::CanHigh | Role::CanLow | Role::Lin | Role::Interlock | Role::Pilot | Role::Proximity => true,
        Role::Return | Role::Chassis | Role::Earth | Role::Neutral | Role::SensorReturn | Role::Screen => false,
    }
}

/// Roles that are those of signals; an output gives power as often.
const fn is_signal(role: Role) -> bool {
    match role {
        Role::Reference | Role::Input | Role::Bidirectional | Role::CanHigh | Role::CanLow | Role::Lin => true,
        Role::Pilot | Role::Proximity => true,
        Role::Supply | Role::Line | Role::Phase | Role::Output | Role::Interlock | Role::Return | Role::Chassis => false,
        Role::Earth | Role::Neutral | Role::SensorReturn | Role::Screen => false,
    }
}

/// Every screen of a cable that is wired.
pub(super) fn screens(facts: &Facts) -> Vec<Screen> {
    let (model, network) = (facts.model(), facts.network());
    let is_screened = |id: CableId| {
        let cable = &model[id];
        let is_said = cable.kind.is_some_and(|kind| model[kind].screen.is_some());
        model[cable.loom].fitted && (is_said || cable.screen.iter().any(Option::is_some))
    };
    let cables: FxHashSet<CableId> = model.cables().map(|(id, _)| id).filter(|id| is_screened(*id)).collect();
    if cables.is_empty() {
        return Vec::new();
    }
    let mut cores: BTreeMap<CableId, Vec<WireId>> = BTreeMap::new();
    for (id, wire) in model.wires() {
        if let Some((cable, _)) = wire.core.filter(|(cable, _)| cables.contains(cable)) {
            cores.entry(cable).or_default().push(id);
        }
    }
    let metal = network.components(|_, edge| is_other_metal(model, edge) && edge.role != EdgeRole::Metal(MetalKind::Chassis));
    let mut groups = Groups { model, network, metal: &metal, known: FxHashMap::default() };
    cores.into_iter().map(|(cable, wires)| screen(facts, &mut groups, cable, wires)).collect()
}

fn screen(facts: &Facts, groups: &mut Groups<'_>, cable: CableId, wires: Vec<WireId>) -> Screen {
    let model = facts.model();
    let (drains, cores): (Vec<WireId>, Vec<WireId>) = wires.into_iter().partition(|wire| is_drain(model, &model[*wire]));
    let said = model[cable].screen.iter().flatten().copied();
    let drained = drains.iter().flat_map(|wire| {
        let wire = &model[*wire];
        [(wire.from, wire.from_span), (wire.to, wire.to_span)].into_iter().filter_map(|(point, span)| Some((point?, span)))
    });
    let mut given: Vec<(PointId, Span)> = said.chain(drained).collect();
    given.sort_unstable_by_key(|(point, _)| *point);
    given.dedup_by_key(|(point, _)| *point);
    let ends = given.into_iter().map(|(point, span)| groups.end(point, span)).collect();
    let is_coaxial = cores.len() == 1
        && model[cable].kind.is_none_or(|kind| model[kind].cores.len() - drains.len().min(model[kind].cores.len()) <= 1);
    Screen { cable, duty: duty(facts, groups, &cores), ends, cores, is_coaxial }
}

/// What a core is for, by the pins on its net.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum CoreDuty {
    Unknown,
    Signal,
    Bus,
    Other,
}

fn duty(facts: &Facts, groups: &mut Groups<'_>, cores: &[WireId]) -> Duty {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let mut duties = Vec::new();
    let mut is_class_b = false;
    for wire in cores {
        let item = &model[*wire];
        let points = [item.from, item.to].into_iter().flatten();
        let is_thin = item.size.is_none_or(|size| size.value.get() < POWER_CORE);
        let roles = points.clone().map(|point| groups.pins(groups.metal.of(point)).roles);
        let own = match roles.fold([false; 3], |[a, b, c], [d, e, f]| [a || d, b || e, c || f]) {
            [true, ..] => CoreDuty::Bus,
            [_, true, _] if is_thin => CoreDuty::Signal,
            [.., true] => CoreDuty::Other,
            [.., false] => CoreDuty::Unknown,
        };
        let of_b = points.filter_map(|point| domains.of(point)).any(|domain| model[domain].is_class_b());
        is_class_b |= of_b && matches!(own, CoreDuty::Other | CoreDuty::Unknown);
        duties.push(own);
    }
    let has = |wanted: CoreDuty| duties.contains(&wanted);
    match () {
        () if is_class_b => Duty::ClassB,
        () if has(CoreDuty::Bus) => Duty::Signal { bus: true },
        () if has(CoreDuty::Signal) || !has(CoreDuty::Other) => Duty::Signal { bus: false },
        () => Duty::Power,
    }
}

/// What the groups of metal hold, each looked at once.
struct Groups<'a> {
    model: &'a Model,
    network: &'a Network,
    metal: &'a Components,
    known: FxHashMap<GroupId, GroupPins>,
}

impl Groups<'_> {
    fn pins(&mut self, group: GroupId) -> &GroupPins {
        let (model, network, metal) = (self.model, self.network, self.metal);
        self.known.entry(group).or_insert_with(|| pins(model, network, metal.members(group)))
    }

    fn end(&mut self, point: PointId, span: Span) -> ScreenEnd {
        let group = self.metal.of(point);
        let (model, near) = (self.model, near(self.model, self.network, point));
        let pins = self.pins(group);
        let ground = match (pins.is_ground, pins.screens.first(), pins.unknown) {
            (true, ..) => Some((near, true)),
            (false, Some(device), _) => Some((Ground::Device(*device), false)),
            (false, None, Some(pin)) if pins.live.is_none() => Some((model.device_at(pin).map_or(near, Ground::Device), false)),
            (false, None, _) => None,
        };
        ScreenEnd { point, span, group, ground }
    }
}

/// The place at which an end is: the device it is at, a stud of the chassis, or the point itself.
fn near(model: &Model, network: &Network, point: PointId) -> Ground {
    let joined = network.around(point).find_map(|(_, edge, other)| match edge.kind {
        EdgeKind::Contact(_) | EdgeKind::Joint(_) => Some((model.device_at(other)?, model.port_at(other)?)),
        EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    });
    match joined {
        Some((device, port)) if model[device].chassis => Ground::Port(port),
        Some((device, _)) => Ground::Device(device),
        None => Ground::Point(point),
    }
}

/// What the pins of a group are; a box that passes the screen on by a bar is none of its grounds.
pub(super) fn pins(model: &Model, network: &Network, members: &[PointId]) -> GroupPins {
    let mut found = GroupPins::default();
    for point in members {
        let Some(device) = model.device_at(*point).filter(|device| model[*device].fitted) else { continue };
        let said = model.pin_at(*point);
        if said.is_some_and(|pin| pin.spare.is_some()) {
            continue;
        }
        let role = model.role_at(*point);
        if let Some(role) = role {
            let is_bus = matches!(role, Role::CanHigh | Role::CanLow | Role::Lin);
            let [bus, signal, any] = &mut found.roles;
            (*bus, *signal, *any) = (*bus || is_bus, *signal || is_signal(role), true);
        }
        match role {
            Some(Role::Screen) => found.screens.push(device),
            Some(role) if role.takes_back() => found.is_ground = true,
            Some(role) if is_live(role) => {
                found.live.get_or_insert(*point);
            }
            Some(_) => {}
            None if model[device].chassis => found.is_ground = true,
            None => {
                let passes = network.around(*point).any(|(_, edge, _)| edge.role == EdgeRole::Metal(MetalKind::Bar));
                if !passes && model.port_at(*point).is_some() {
                    found.unknown.get_or_insert(*point);
                }
            }
        }
    }
    found
}
