//! Grounds that ride on the returns of others: how far the current of other loads lifts the ground of a sensor or bus node
//! against the ground of the device that reads it.
//!
//! Idea: from the one ground the current runs down to the pole of the source, from the other too, and somewhere both ways meet.
//! What is before that point on the way of the one lifts it alone; the part of it that its own current makes is left out.

use super::{
    ModeState,
    conductors::drop::{Authority, load_kind},
    current_path::{CurrentPath, Direction},
};
use crate::{
    model::{DeviceId, ElementKind, ModeId, Model, Owner, PointId, PointKind, PortKind},
    network::{Domains, Edge, EdgeId, Network, Step},
    quantity::{Ampere, Ratio, Volt},
    standards::drop::{SignalKind, ground_lift},
    vocabulary::{LoadKind, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeSet;

/// Two devices that understand each other by the ground of both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Pair {
    /// The pin that sends: the output of a sensor, the bus line of a node.
    signal: PointId,
    /// How it sends.
    kind: SignalKind,
    /// Ground of its device.
    ground: PointId,
    /// Ground of the device that reads it.
    reader: PointId,
}

/// A ground that other currents lift, in the mode in which they lift it most.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundShift {
    /// The pin that sends.
    pub signal: PointId,
    /// Ground of its device.
    pub ground: PointId,
    /// Ground of the device that reads it.
    pub reader: PointId,
    /// The mode.
    pub mode: ModeId,
    /// By how much other currents lift the one above the other.
    pub volts: Volt,
    /// The way of the current from the one ground to where it meets that of the other.
    pub way: Vec<Step>,
    /// The edge on that way that costs most.
    pub dearest: EdgeId,
    /// The most that it may be, and who says so.
    pub limit: (Volt, Authority),
}

/// Volts that count as none between two grounds.
const EQUAL: f64 = 1e-9;
/// Current below which a ground has none of its own.
const NOTHING: f64 = 1e-9;

/// The grounds that other currents lift by more than `most`, by the pin that sends; of several readers the one that is
/// furthest below. With them the devices that speak or listen and have no ground of which anything is said.
///
/// Cost: a pass over the network a mode, and the ways of the grounds of sensors and bus nodes.
pub(super) fn ground_shifts(network: &Network, domains: &Domains, modes: &[ModeState]) -> (Vec<GroundShift>, Vec<DeviceId>) {
    let model = network.model();
    let (pairs, groundless) = pairs(network, domains);
    if pairs.is_empty() {
        return (Vec::new(), groundless);
    }
    let mut worst: FxHashMap<PointId, GroundShift> = FxHashMap::default();
    for mode in modes {
        let path = CurrentPath::new(network, mode, Direction::Return);
        for pair in readers(&pairs, mode) {
            let limit = limit(model, domains, &pair);
            // A ground is never lifted by more than its height above the other.
            if mode.is_shorted(pair.ground) || mode.volts(pair.ground) - mode.volts(pair.reader) <= limit.0 {
                continue;
            }
            let Some(lift) = lift(network, mode, &path, &pair, limit) else { continue };
            let known = worst.get(&pair.signal).map(|known| known.volts);
            if lift.volts > limit.0 && known.is_none_or(|known| lift.volts > known) {
                worst.insert(pair.signal, lift);
            }
        }
    }
    let mut found: Vec<GroundShift> = worst.into_values().collect();
    found.sort_by_key(|lift| lift.signal);
    (found, groundless)
}

/// Each pin that sends, with the reader whose ground is lowest in `mode`.
fn readers(pairs: &[Pair], mode: &ModeState) -> Vec<Pair> {
    let lowest = |chunk: &[Pair]| {
        let volts = |pair: &Pair| mode.volts(pair.reader);
        // Of equal ones the first stays.
        let lower = |a: Pair, b: Pair| if volts(&b) < volts(&a) - Volt::new(EQUAL) { b } else { a };
        chunk.iter().copied().reduce(lower)
    };
    pairs.chunk_by(|a, b| a.signal == b.signal).filter_map(lowest).collect()
}

/// The most by which a ground may be lifted: the policy's, else that of the table.
fn limit(model: &Model, domains: &Domains, pair: &Pair) -> (Volt, Authority) {
    let own = &model.policy.voltage_drop;
    let said = if pair.kind == SignalKind::Sensor { own.sensor_ground } else { own.bus_ground };
    if let Some(said) = said {
        return (said.value, Authority::Policy(said.span));
    }
    // Grounds without a domain do not count as grounds, see `Grounds`.
    let nominal = domains.of(pair.ground).map_or(Volt::ZERO, |domain| model[domain].nominal);
    let usual = ground_lift(pair.kind, nominal);
    (usual.value, Authority::Table(usual.source))
}

fn lift(
    network: &Network,
    mode: &ModeState,
    path: &CurrentPath<'_>,
    pair: &Pair,
    limit: (Volt, Authority),
) -> Option<GroundShift> {
    let all_share = Ratio::new(1.0);
    // A ground without current is at the volts of the nearest place that has some: up to there nothing is lost.
    let flows = |point: PointId| path.is_on_the_way(point);
    let metal = |_: EdgeId, edge: &Edge| edge.is_metal();
    let start = network.path(pair.ground, flows, metal)?;
    let from = start.last().map_or(pair.ground, |step| step.point);
    let own = if start.is_empty() { path.amps_from(from) } else { Ampere::ZERO };
    let reader = network.path(pair.reader, flows, metal)?;
    let reader = reader.last().map_or(pair.reader, |step| step.point);
    let theirs: FxHashSet<PointId> = std::iter::once(reader).chain(path.way(reader).iter().map(|step| step.point)).collect();
    let mut way = Vec::new();
    let (mut made, mut dearest, mut met) = (Volt::ZERO, None, theirs.contains(&from));
    for step in path.way(from) {
        if met {
            break;
        }
        let edge = &network[step.edge];
        let all = (mode.volts(edge.a) - mode.volts(edge.b)).abs();
        let amps = mode.amps(step.edge).abs();
        // Of what is not known nothing is claimed: it counts as made by the ground's own current.
        let share =
            if path.volts(step.edge).is_none() { all_share } else { (own / amps.max(Ampere::new(NOTHING))).min(all_share) };
        made += all * share;
        let others = all * (all_share - share);
        if others > Volt::ZERO && dearest.is_none_or(|(_, most)| others > most) {
            dearest = Some((step.edge, others));
        }
        way.push(step);
        met = theirs.contains(&step.point);
    }
    let volts = mode.volts(pair.ground) - mode.volts(pair.reader) - made;
    let (dearest, _) = dearest?;
    let mut whole = start;
    whole.extend(way);
    Some(GroundShift {
        signal: pair.signal,
        ground: pair.ground,
        reader: pair.reader,
        mode: mode.id,
        volts,
        way: whole,
        dearest,
        limit,
    })
}

/// All pairs, by the pin that sends, and the devices without a known ground.
fn pairs(network: &Network, domains: &Domains) -> (Vec<Pair>, Vec<DeviceId>) {
    let model = network.model();
    let speaks = sensors(model);
    let mut by_net: Vec<(u32, PointId, Role)> = Vec::new();
    for (point, item) in model.points() {
        let role = item.pin.and_then(|pin| model[pin].role).map(|role| role.value);
        let Some(role) = role.filter(|role| matches!(role, Role::Output | Role::Input | Role::CanHigh | Role::Lin)) else {
            continue;
        };
        by_net.push((network.net(point).0, point, role));
    }
    by_net.sort_unstable_by_key(|(net, point, _)| (*net, *point));
    let grounds = Grounds::new(model, domains);
    let mut pairs = Vec::new();
    let mut groundless = BTreeSet::new();
    for net in by_net.chunk_by(|a, b| a.0 == b.0) {
        let device = |point: PointId| device_of(model, point);
        let is_bus = |role: Role| matches!(role, Role::CanHigh | Role::Lin);
        // Each ground counts once among the readers of a net; a bus of many nodes stays linear in them.
        let of = |wanted: &dyn Fn(Role, PointId) -> bool| {
            let pins = net.iter().filter(|(_, point, role)| wanted(*role, *point));
            pins.map(|(_, point, _)| *point).collect::<Vec<PointId>>()
        };
        let nodes = of(&|role, _| is_bus(role));
        let bus = if net.iter().any(|(_, _, role)| *role == Role::CanHigh) { SignalKind::Can } else { SignalKind::Lin };
        let outputs = of(&|role, point| role == Role::Output && device(point).is_some_and(|device| speaks.contains(&device)));
        let inputs = of(&|role, _| role == Role::Input);
        let kinds = [(bus, nodes.as_slice(), nodes.as_slice()), (SignalKind::Sensor, outputs.as_slice(), inputs.as_slice())];
        for (kind, speakers, listeners) in kinds {
            for &signal in speakers.iter().take(MOST_ON_A_NET) {
                for &other in listeners.iter().take(MOST_ON_A_NET) {
                    let (Some(own), Some(reader)) = (device(signal), device(other)) else { continue };
                    if own == reader {
                        continue;
                    }
                    if grounds.of(own).is_empty() && !is_terminator(network, own) {
                        groundless.insert(own);
                    }
                    if let Some((ground, reader)) = grounds.joined(network, domains, (own, signal), (reader, other)) {
                        pairs.push(Pair { signal, kind, ground, reader });
                    }
                }
            }
        }
    }
    pairs.sort_unstable();
    pairs.dedup();
    (pairs, groundless.into_iter().collect())
}

/// Whether a device is a plug that ends a bus: all its pins are lines of a bus or their screen, and nothing is in it but resistors and
/// capacitors. It sends to nobody and needs no ground.
fn is_terminator(network: &Network, device: DeviceId) -> bool {
    let model = network.model();
    let is_line = |role: Role| matches!(role, Role::CanHigh | Role::CanLow | Role::Lin | Role::Screen);
    let mut used = model.points_of(&model[device]).filter(|point| {
        let is_spare = model.pin_at(*point).is_some_and(|pin| pin.spare.is_some());
        // A position of which nothing is said and at which nothing ends is empty.
        !is_spare && (model[*point].pin.is_some() || network.around(*point).next().is_some())
    });
    let elements = || model.elements().filter(|(_, element)| element.owner == Owner::Device(device));
    let is_passive = |kind: &ElementKind| matches!(kind, ElementKind::Resistor(_) | ElementKind::Capacitor(_));
    // Without a resistor in it only a housing shows that there is no pin for a supply.
    let is_whole = || model[device].ports.iter().all(|port| matches!(model[port].kind, PortKind::Connector(Some(_))));
    used.all(|point| model.role_at(point).is_some_and(is_line))
        && elements().all(|(_, element)| is_passive(&element.kind))
        && (elements().next().is_some() || is_whole())
}

/// Nodes of one bus or signal that are compared with each other; ISO 11898-2 transceivers drive about a hundred.
const MOST_ON_A_NET: usize = 128;

/// Devices that measure: they have a return or supply of a sensor, or a load that is one.
fn sensors(model: &Model) -> BTreeSet<DeviceId> {
    let pins = model.points().filter_map(|(point, item)| {
        let role = model[item.pin?].role?.value;
        matches!(role, Role::SensorReturn | Role::Reference).then(|| device_of(model, point)).flatten()
    });
    let loads = model.elements().filter_map(|(_, element)| match element.owner {
        Owner::Device(device) => (load_kind(&element.kind) == Some(LoadKind::Sensor)).then_some(device),
        // What is in a loom has no ground of its own.
        Owner::Loom(_) => None,
    });
    pins.chain(loads).collect()
}

fn device_of(model: &Model, point: PointId) -> Option<DeviceId> {
    match model[point].kind {
        PointKind::Pin(port) | PointKind::Stud(port) => Some(model[port].device),
        PointKind::Node(device) => Some(device),
        PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
    }
}

/// How good a pin of this role is as the ground of signals, the best first; `None` for what is not a ground of signals. Neutral and
/// protective earth carry no supply of electronics.
const fn ground_rank(role: Role) -> Option<u8> {
    match role {
        Role::SensorReturn => Some(0),
        Role::Return => Some(1),
        Role::Chassis => Some(2),
        Role::Earth | Role::Neutral | Role::Supply | Role::Line | Role::Reference | Role::Phase | Role::Input | Role::Output => {
            None
        }
        Role::Bidirectional | Role::CanHigh | Role::CanLow | Role::Lin | Role::Screen | Role::Interlock => None,
        Role::Pilot | Role::Proximity => None,
    }
}

/// The grounds of each device, the best reference first.
struct Grounds(Vec<(DeviceId, u8, PointId)>);

impl Grounds {
    fn new(model: &Model, domains: &Domains) -> Self {
        let mut grounds: Vec<(DeviceId, u8, PointId)> = Vec::new();
        for (point, item) in model.points() {
            let Some(rank) = item.pin.and_then(|pin| model[pin].role).and_then(|role| ground_rank(role.value)) else { continue };
            if let (Some(device), Some(_)) = (device_of(model, point), domains.of(point)) {
                grounds.push((device, rank, point));
            }
        }
        grounds.sort_unstable();
        Self(grounds)
    }

    fn of(&self, device: DeviceId) -> &[(DeviceId, u8, PointId)] {
        let start = self.0.partition_point(|(known, ..)| *known < device);
        let end = self.0.partition_point(|(known, ..)| *known <= device);
        self.0.get(start..end).unwrap_or_default()
    }

    /// The best grounds of two devices that metal joins, each of the domain of its signal.
    fn joined(
        &self,
        network: &Network,
        domains: &Domains,
        one: (DeviceId, PointId),
        other: (DeviceId, PointId),
    ) -> Option<(PointId, PointId)> {
        let of = |(device, signal): (DeviceId, PointId)| {
            let domain = domains.of(signal);
            self.of(device).iter().map(|(_, _, point)| *point).filter(move |point| domains.of(*point) == domain)
        };
        let ground = of(one).next()?;
        let net = network.net(ground);
        of(other).find(|reader| network.net(*reader) == net).map(|reader| (ground, reader))
    }
}
