//! Nets whose pins disagree on the signal, and how the wires would have to move to put them right.
//!
//! The idea: a net is *mixed* if its pins name several signals. Of pins that give or take power that is allowed (a feed
//! is named after its source at one end and after its load at the other) unless the device at one end offers, at
//! another pin, the very signal that the other end names: then the wires are exchanged or shifted. Mixed nets that share
//! a signal are one fault; a *repair* moves wires within one connector, or one device, so that all of them are pure.
//!
//! Cost: linear in the pins, and for each mixed group in the pins of the devices that could put it right.

use super::ends::{Ends, device_of, is_fitted, room};
use crate::{
    analysis::Analysis,
    model::{DeviceId, DomainId, EndKind, Model, Pin, PointId, PointKind},
    network::NetId,
    vocabulary::Role,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};

/// A pin or stud of a fitted device of which something is said.
#[derive(Debug, Clone, Copy)]
pub(super) struct PinAt<'m> {
    pub(super) point: PointId,
    pub(super) pin: &'m Pin,
    pub(super) device: DeviceId,
    /// Its signal: equal texts have equal numbers.
    pub(super) signal: Option<u32>,
    pub(super) domain: Option<DomainId>,
}

impl PinAt<'_> {
    pub(super) fn role(&self) -> Option<Role> {
        self.pin.role.map(|role| role.value)
    }
}

/// One wire that has to move: from the place of one pin to the place of another.
#[derive(Debug, Clone, Copy)]
pub(super) struct Move {
    pub(super) from: PointId,
    pub(super) to: PointId,
}

/// Mixed nets that are one fault.
#[derive(Debug)]
pub(super) struct Mixed {
    /// The nets, in order.
    pub(super) nets: Vec<NetId>,
    /// The moves that put all of them right; empty where no connector or device allows it.
    pub(super) moves: Vec<Move>,
}

/// The pins of every net.
#[derive(Debug)]
pub(super) struct Pins<'m> {
    model: &'m Model,
    by_net: FxHashMap<NetId, Vec<PinAt<'m>>>,
    nets: Vec<NetId>,
    by_device: FxHashMap<DeviceId, Vec<PinAt<'m>>>,
    by_signal: FxHashMap<(DeviceId, u32), Vec<PinAt<'m>>>,
}

impl<'m> Pins<'m> {
    /// Sorts the pins of a design by net and by device.
    pub(super) fn new(analysis: &'m Analysis) -> Self {
        let model = analysis.model();
        let mut numbers: FxHashMap<&str, u32> = FxHashMap::default();
        let mut pins = Self {
            model,
            by_net: FxHashMap::default(),
            nets: Vec::new(),
            by_device: FxHashMap::default(),
            by_signal: FxHashMap::default(),
        };
        for (point, item) in model.points() {
            let Some(pin) = item.pin.and_then(|pin| model.pin(pin)) else { continue };
            let Some((device, _)) = device_of(model, point) else { continue };
            if !is_fitted(model, point) {
                continue;
            }
            let signal = pin.signal.map(|signal| {
                let next = numbers.len() as u32;
                *numbers.entry(model.text(signal.value).trim()).or_insert(next)
            });
            let at = PinAt { point, pin, device, signal, domain: pin.domain.map(|(domain, _)| domain) };
            let net = analysis.network().net(point);
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
    pub(super) fn nets(&self) -> impl Iterator<Item = NetId> {
        self.nets.iter().copied()
    }

    /// The pins of a net.
    pub(super) fn of(&self, net: NetId) -> &[PinAt<'m>] {
        self.by_net.get(&net).map_or(&[], Vec::as_slice)
    }

    /// The pins of a device.
    pub(super) fn of_device(&self, device: DeviceId) -> &[PinAt<'m>] {
        self.by_device.get(&device).map_or(&[], Vec::as_slice)
    }

    /// The pins of a device that name a signal.
    fn named(&self, device: DeviceId, signal: u32) -> &[PinAt<'m>] {
        self.by_signal.get(&(device, signal)).map_or(&[], Vec::as_slice)
    }

    /// The name of a pin's signal.
    pub(super) fn signal(&self, pin: &PinAt<'_>) -> &'m str {
        pin.pin.signal.map_or("", |signal| self.model.text(signal.value).trim())
    }
}

/// The mixed groups of a design. A net whose pins belong to several domains is a crossing first, and one that is only
/// mixed through a crowded cavity is that cavity's fault: both are left out.
pub(super) fn mixed(analysis: &Analysis, pins: &Pins<'_>, ends: &Ends<'_>, crowded: &[(NetId, PointId)]) -> Vec<Mixed> {
    let nets: Vec<NetId> = pins
        .nets()
        .filter(|net| {
            let of = pins.of(*net);
            disagree(analysis, pins, of)
                && (!is_crowded(crowded, *net)
                    || pieces(analysis, of, crowded).iter().any(|piece| disagree(analysis, pins, piece)))
        })
        .collect();
    let mut first: FxHashMap<u32, u32> = FxHashMap::default();
    let mut groups = UnionFind::<u32>::new(nets.len());
    for (net, at) in nets.iter().zip(0..) {
        for signal in pins.of(*net).iter().filter_map(|pin| pin.signal) {
            groups.union(*first.entry(signal).or_insert(at), at);
        }
    }
    let mut members: Vec<Vec<NetId>> = vec![Vec::new(); nets.len()];
    for (net, label) in nets.iter().zip(groups.into_labeling()) {
        if let Some(slot) = members.get_mut(label as usize) {
            slot.push(*net);
        }
    }
    members.retain(|nets| !nets.is_empty());
    for nets in &mut members {
        nets.sort_unstable();
    }
    let mut found = Vec::new();
    for nets in members {
        let moves = repair(analysis, pins, ends, &nets);
        if moves.is_empty() {
            // Without one repair for all of them each net stands for itself.
            found.extend(nets.into_iter().map(|net| Mixed { moves: repair(analysis, pins, ends, &[net]), nets: vec![net] }));
        } else {
            found.push(Mixed { nets, moves });
        }
    }
    found
}

/// Whether the pins of one net name signals that can't be one.
fn disagree(analysis: &Analysis, pins: &Pins<'_>, of: &[PinAt<'_>]) -> bool {
    let named = || of.iter().filter(|pin| pin.signal.is_some());
    let Some(first) = named().next() else { return false };
    if named().all(|pin| pin.signal == first.signal) {
        return false;
    }
    let domain = of.iter().find_map(|pin| pin.domain);
    if of.iter().any(|pin| pin.domain.is_some() && pin.domain != domain) {
        return false;
    }
    if named().any(|pin| !is_power(pin)) {
        return true;
    }
    // For each signal on the net the only device that names it here, and for each device the only signal that it names
    // here; `None` where there are several.
    let mut here: FxHashMap<u32, Option<DeviceId>> = FxHashMap::default();
    let mut says: FxHashMap<DeviceId, Option<u32>> = FxHashMap::default();
    let mut devices: Vec<DeviceId> = Vec::new();
    for pin in named() {
        let Some(signal) = pin.signal else { continue };
        here.entry(signal).and_modify(|only| *only = only.filter(|only| *only == pin.device)).or_insert(Some(pin.device));
        says.entry(pin.device).and_modify(|only| *only = only.filter(|only| *only == signal)).or_insert_with(|| {
            devices.push(pin.device);
            Some(signal)
        });
    }
    let net = analysis.network().net(first.point);
    // Another pin of the device is what a pin of another device on this net asks for, and is elsewhere.
    let offers = |device: DeviceId, other: &PinAt<'_>| {
        let asked = other.signal.and_then(|signal| here.get(&signal));
        asked.is_some_and(|by| *by != Some(device))
            && analysis.network().net(other.point) != net
            && says.get(&device).is_some_and(|says| says.is_none() || *says != other.signal)
    };
    devices.iter().any(|device| {
        let all = pins.of_device(*device);
        if all.len() <= here.len() {
            return all.iter().any(|other| offers(*device, other));
        }
        here.keys().any(|signal| pins.named(*device, *signal).iter().any(|other| offers(*device, other)))
    })
}

/// Whether a pin gives or takes power, or is a screen: there names may differ from end to end.
fn is_power(pin: &PinAt<'_>) -> bool {
    use Role::{Chassis, Earth, Line, Neutral, Reference, Return, Screen, SensorReturn, Supply};
    matches!(pin.role(), Some(Supply | Return | Chassis | Earth | Screen | Line | Neutral | Reference | SensorReturn))
}

/// Whether a net holds a crowded cavity.
pub(super) fn is_crowded(crowded: &[(NetId, PointId)], net: NetId) -> bool {
    crowded.binary_search_by_key(&net, |(of, _)| *of).is_ok()
}

/// Cavities with more wires than they take, with their nets, sorted.
pub(super) fn crowded(analysis: &Analysis, ends: &Ends<'_>) -> Vec<(NetId, PointId)> {
    let model = analysis.model();
    let mut found = Vec::new();
    for (_, end) in model.ends().filter(|(_, end)| matches!(end.kind, EndKind::Connector(_))) {
        for point in end.points.iter() {
            let count = ends.wires(point).len();
            if count > 1 && room(model, end, point).most.is_some_and(|most| count > most as usize) {
                found.push((analysis.network().net(point), point));
            }
        }
    }
    found.sort_unstable();
    found
}

/// The pins of a net sorted into the pieces that it falls into once its crowded cavities join nothing.
pub(super) fn pieces<'m>(analysis: &Analysis, of: &[PinAt<'m>], crowded: &[(NetId, PointId)]) -> Vec<Vec<PinAt<'m>>> {
    let blocked = |point: PointId| {
        let net = analysis.network().net(point);
        crowded.binary_search(&(net, point)).is_ok()
    };
    let mut piece_of: FxHashMap<PointId, usize> = FxHashMap::default();
    let mut pieces: Vec<Vec<PinAt<'m>>> = Vec::new();
    for pin in of {
        if let Some(piece) = piece_of.get(&pin.point).and_then(|at| pieces.get_mut(*at)) {
            piece.push(*pin);
            continue;
        }
        let mut waiting = vec![pin.point];
        piece_of.insert(pin.point, pieces.len());
        while let Some(point) = waiting.pop() {
            for (_, edge, other) in analysis.network().around(point) {
                if edge.is_metal() && !blocked(other) && !piece_of.contains_key(&other) {
                    piece_of.insert(other, pieces.len());
                    waiting.push(other);
                }
            }
        }
        pieces.push(vec![*pin]);
    }
    pieces
}

/// Moves within one connector, else within one device, that leave every net of the group with one signal.
fn repair(analysis: &Analysis, pins: &Pins<'_>, ends: &Ends<'_>, nets: &[NetId]) -> Vec<Move> {
    let Some(first) = nets.first() else { return Vec::new() };
    // A net of very many pins has too many devices to try, and no exchange of two wires mends it.
    let candidates = pins.of(*first).iter().take(64);
    for by_device in [false, true] {
        for pin in candidates.clone() {
            let port = port_of(pins.model, pin.point);
            let is_here =
                |other: &PinAt<'_>| other.device == pin.device && (by_device || port_of(pins.model, other.point) == port);
            let moves = moves(analysis, pins, ends, nets, pin.device, is_here);
            if !moves.is_empty() {
                return moves;
            }
        }
    }
    Vec::new()
}

fn port_of(model: &Model, point: PointId) -> Option<crate::model::PortId> {
    match model.point(point)?.kind {
        PointKind::Pin(port) | PointKind::Stud(port) => Some(port),
        _ => None,
    }
}

/// The moves among those pins of `device` that are at one place; none if they do not mend every net.
fn moves(
    analysis: &Analysis,
    pins: &Pins<'_>,
    ends: &Ends<'_>,
    nets: &[NetId],
    device: DeviceId,
    is_here: impl Fn(&PinAt<'_>) -> bool,
) -> Vec<Move> {
    let mut moves: Vec<Move> = Vec::new();
    let mut taken: FxHashSet<PointId> = FxHashSet::default();
    for net in nets {
        let mut here = pins.of(*net).iter().filter(|pin| is_here(pin));
        let (Some(odd), None) = (here.next(), here.next()) else { return Vec::new() };
        let mut others = pins.of(*net).iter().filter(|pin| pin.point != odd.point).filter_map(|pin| pin.signal);
        let Some(meant) = others.next() else { return Vec::new() };
        if Some(meant) == odd.signal || others.any(|signal| signal != meant) {
            return Vec::new();
        }
        let home = pins.named(device, meant).iter().find(|pin| {
            let net = analysis.network().net(pin.point);
            let free = nets.binary_search(&net).is_ok() || ends.reaching(pin.point).is_none();
            is_here(pin) && free && !taken.contains(&pin.point)
        });
        let Some(home) = home else { return Vec::new() };
        taken.insert(home.point);
        moves.push(Move { from: odd.point, to: home.point });
    }
    moves
}
