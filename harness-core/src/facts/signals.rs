//! Nets whose pins disagree on the signal, and how the wires would have to move to put them right.
//!
//! The idea: a net is *mixed* if its pins name several signals. Of pins that give or take power that is allowed (a feed
//! is named after its source at one end and after its load at the other) unless the device at one end offers, at
//! another pin, the very signal that the other end names: then the wires are exchanged or shifted. Mixed nets that share
//! a signal are one fault; a *repair* moves wires within one connector, or one device, so that all of them are pure.
//!
//! Cost: linear in the pins, and for each mixed group in the pins of the devices that could put it right.

use super::{
    Facts,
    cavities::CrowdedCavities,
    pins::{PinAt, Pins, is_crossing},
    wire_ends::WireEnds,
};
use crate::{
    model::{DeviceId, PointId, PointKind, PortId},
    network::{NetId, Network},
    vocabulary::Role,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Nets whose pins name different signals, whatever else is at fault with them.
    ///
    /// Asked for the meetings and for what cuts loads off.
    #[must_use]
    pub fn mixed_signals(&self) -> &[MixedSignals] {
        self.made
            .mixed_signals
            .get_or_init(|| mixed_signals(self.network(), self.pins(), self.wire_ends(), self.crowded_cavities()))
    }
}

/// Pins at a mixed net whose device is tried for a repair: a net of very many pins is put right by no exchange of two wires.
const MOST_TRIED: usize = 64;

/// One wire that has to move: from the place of one pin to the place of another.
#[derive(Debug, Clone, Copy)]
pub struct Rewire {
    /// The pin at which it is.
    pub from: PointId,
    /// The pin at which it belongs.
    pub to: PointId,
}

/// Mixed nets that are one fault.
#[derive(Debug, Clone)]
pub struct MixedSignals {
    /// The nets, in order.
    pub nets: Vec<NetId>,
    /// What puts all of them right; empty where no connector or device allows it.
    pub rewires: Vec<Rewire>,
}

/// The mixed groups of a design. A net whose pins belong to class B and to another domain is a crossing first, and one that is only
/// mixed through a crowded cavity is that cavity's fault: both are left out.
fn mixed_signals(network: &Network, pins: &Pins, ends: &WireEnds, crowded: &CrowdedCavities) -> Vec<MixedSignals> {
    let nets: Vec<NetId> = pins
        .nets()
        .filter(|net| {
            let of = pins.of(*net);
            disagree(network, pins, of)
                && (!crowded.are_in(*net) || crowded.pieces(network, of).iter().any(|piece| disagree(network, pins, piece)))
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
        let rewires = repair(network, pins, ends, &nets);
        if rewires.is_empty() {
            // Without one repair for all of them each net stands for itself.
            found.extend(
                nets.into_iter().map(|net| MixedSignals { rewires: repair(network, pins, ends, &[net]), nets: vec![net] }),
            );
        } else {
            found.push(MixedSignals { nets, rewires });
        }
    }
    found
}

/// Whether the pins of one net name signals that can't be one.
fn disagree(network: &Network, pins: &Pins, of: &[PinAt]) -> bool {
    let named = || of.iter().filter(|pin| pin.signal.is_some());
    let Some(first) = named().next() else { return false };
    if named().all(|pin| pin.signal == first.signal) {
        return false;
    }
    let domain = of.iter().find_map(|pin| pin.domain);
    if of.iter().any(|pin| is_crossing(network.model(), pin.domain, domain)) {
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
    let net = network.net(first.point);
    // Another pin of the device is what a pin of another device on this net asks for, and is elsewhere.
    let offers = |device: DeviceId, other: &PinAt| {
        let asked = other.signal.and_then(|signal| here.get(&signal));
        asked.is_some_and(|by| *by != Some(device))
            && network.net(other.point) != net
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
fn is_power(pin: &PinAt) -> bool {
    pin.role.is_some_and(|role| role.takes_back() || role.gives_supply() || role == Role::Screen)
}

/// Moves within one connector, else within one device, that leave every net of the group with one signal.
fn repair(network: &Network, pins: &Pins, ends: &WireEnds, nets: &[NetId]) -> Vec<Rewire> {
    let Some(first) = nets.first() else { return Vec::new() };
    let candidates = pins.of(*first).iter().take(MOST_TRIED);
    for by_device in [false, true] {
        for pin in candidates.clone() {
            let port = port_of(network, pin.point);
            let is_here = |other: &PinAt| other.device == pin.device && (by_device || port_of(network, other.point) == port);
            let rewires = rewires(network, pins, ends, nets, pin.device, is_here);
            if !rewires.is_empty() {
                return rewires;
            }
        }
    }
    Vec::new()
}

fn port_of(network: &Network, point: PointId) -> Option<PortId> {
    match network.model()[point].kind {
        PointKind::Pin(port) | PointKind::Stud(port) => Some(port),
        PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
    }
}

/// The moves among those pins of `device` that are at one place; none if they do not put every net right.
fn rewires(
    network: &Network,
    pins: &Pins,
    ends: &WireEnds,
    nets: &[NetId],
    device: DeviceId,
    is_here: impl Fn(&PinAt) -> bool,
) -> Vec<Rewire> {
    let mut found: Vec<Rewire> = Vec::new();
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
            let net = network.net(pin.point);
            let free = nets.binary_search(&net).is_ok() || ends.reaching(network.model(), pin.point).is_none();
            is_here(pin) && free && !taken.contains(&pin.point)
        });
        let Some(home) = home else { return Vec::new() };
        taken.insert(home.point);
        found.push(Rewire { from: odd.point, to: home.point });
    }
    found
}
