//! Which pins are on one bus.

use super::{
    lines::{BusPin, Line, is_wired, line_of},
    other_pairs,
};
use crate::{
    format::values::Choice,
    model::{DeviceId, Model, NetworkId, PointId},
    network::{EdgeRole, MetalKind, NetId, Network},
    standards::bus::Protocol,
    text::Span,
    vocabulary::{self, LinNode, Termination},
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{BTreeMap, BTreeSet};

/// The lines of a bus.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lines {
    /// A pair: CAN, RS-485.
    Pair,
    /// LIN: one.
    Single,
}

/// A node of a bus.
#[derive(Debug, Clone)]
pub struct BusNode {
    /// The device.
    pub device: DeviceId,
    /// Its pins on the first line, or the one line.
    pub first: Vec<PointId>,
    /// Its pins on the second line.
    pub second: Vec<PointId>,
    /// What it says of a terminator inside.
    pub termination: Option<Choice<Termination>>,
    /// What it is on a LIN bus.
    pub lin: Option<Choice<LinNode>>,
}

/// A bus with two nodes or more.
#[derive(Debug, Clone)]
pub struct Bus {
    /// Two lines, or one.
    pub lines: Lines,
    /// A pair that is not CAN.
    pub is_other_pair: bool,
    /// The nets of the first line.
    pub first: BTreeSet<NetId>,
    /// The nets of the second line; empty for one wire, and where no node has a pin on both.
    pub second: BTreeSet<NetId>,
    /// Its nodes in the order of the devices.
    pub nodes: Vec<BusNode>,
    /// Devices that are on the second line and not on the first.
    pub second_alone: Vec<BusNode>,
    /// The networks that its pins name, each with the first pin and the place where it is named.
    pub named: Vec<(NetworkId, PointId, Span)>,
}

impl Bus {
    /// The network that it is, where its pins name one alone.
    #[must_use]
    pub fn network(&self) -> Option<NetworkId> {
        if let [(network, ..)] = self.named.as_slice() { Some(*network) } else { None }
    }

    /// Which tables hold for it: those of CAN where its network does not say more.
    #[must_use]
    pub fn protocol(&self, model: &Model) -> Protocol {
        let stated = self.network().and_then(|network| model[network].kind).map(|kind| kind.value);
        match stated {
            Some(vocabulary::Bus::Can | vocabulary::Bus::CanFd) => Protocol::Can,
            Some(vocabulary::Bus::J1939) => Protocol::J1939,
            Some(vocabulary::Bus::Lin) => Protocol::Lin,
            Some(vocabulary::Bus::Rs485) => Protocol::Pair,
            None if self.lines == Lines::Single => Protocol::Lin,
            None if self.is_other_pair => Protocol::Pair,
            None => Protocol::Can,
        }
    }

    /// What it is called: its network, else its first pin.
    #[must_use]
    pub fn name(&self, model: &Model) -> String {
        match (self.network(), self.pin()) {
            (Some(network), _) => model.text(model[network].name).to_owned(),
            (None, Some(pin)) => model.point_name(pin),
            (None, None) => String::new(),
        }
    }

    /// `bus drive-can`, or `the bus at controller.A.5`.
    #[must_use]
    pub fn called(&self, model: &Model) -> String {
        match self.network() {
            Some(_) => format!("bus `{}`", self.name(model)),
            None => format!("the bus at `{}`", self.name(model)),
        }
    }

    /// The first pin of its first node.
    #[must_use]
    pub fn pin(&self) -> Option<PointId> {
        self.nodes.first()?.first.first().copied()
    }

    /// Where it is shown: its network, else its first pin.
    #[must_use]
    pub fn span(&self, model: &Model) -> Span {
        match (self.network(), self.pin()) {
            (Some(network), _) => model[network].span,
            (None, Some(pin)) => model[pin].span,
            (None, None) => Span::default(),
        }
    }
}

/// Pins of buses that a wire comes to.
fn pins(model: &Model, network: &Network) -> Vec<BusPin> {
    let wired = |point: PointId| is_wired(network, point);
    let mut pins = Vec::new();
    for (point, _) in model.points() {
        let (Some(device), true) = (model.device_at(point), model.is_fitted(point)) else { continue };
        let Some((line, stem)) = line_of(model, point) else { continue };
        if wired(point) {
            pins.push(BusPin { point, device, line, stem, is_other_pair: false });
        }
    }
    pins.extend(other_pairs::pins(model, network, &wired));
    pins.sort_by_key(|pin| pin.point);
    pins
}

/// The buses of a design.
#[derive(Debug, Default)]
pub struct Buses {
    /// Those with two nodes or more.
    pub(super) whole: Vec<Bus>,
    /// Those with one, and with devices that are on the second line alone.
    pub(super) halved: Vec<Bus>,
}

/// Finds the buses.
pub(super) fn buses(model: &Model, network: &Network) -> Buses {
    let pins = pins(model, network);
    if pins.is_empty() {
        return Buses::default();
    }
    let groups = Groups::new(model, network, &pins);
    let mut firsts: Vec<usize> = Vec::new();
    for (index, pin) in pins.iter().enumerate() {
        let group = groups.of(index);
        if pin.line != Line::Low && !firsts.contains(&group) {
            firsts.push(group);
        }
    }
    let partners = partners(model, &pins, &groups);
    let found = firsts.into_iter().map(|first| {
        let second = partners.get(&first).copied();
        bus(model, network, &pins, &groups, first, second)
    });
    let (whole, others): (Vec<Bus>, Vec<Bus>) = found.partition(|bus| bus.nodes.len() > 1);
    Buses { whole, halved: others.into_iter().filter(|bus| !bus.second_alone.is_empty()).collect() }
}

/// Pins of one line of one bus: on one net, or of a node that passes the bus on.
struct Groups {
    of: Vec<usize>,
}

impl Groups {
    fn new(model: &Model, network: &Network, pins: &[BusPin]) -> Self {
        let mut sets: UnionFind<usize> = UnionFind::new(pins.len());
        // A box that draws how it passes a line on, such as a hub, passes on what it draws and no more.
        let is_drawn = |pin: &BusPin| network.around(pin.point).any(|(_, edge, _)| edge.role == EdgeRole::Metal(MetalKind::Bar));
        let drawn: FxHashSet<(DeviceId, Line)> =
            pins.iter().filter(|pin| is_drawn(pin)).map(|pin| (pin.device, pin.line)).collect();
        let mut by_net: FxHashMap<(NetId, Line), usize> = FxHashMap::default();
        let mut by_name: FxHashMap<(DeviceId, Line, Option<NetworkId>, &str), usize> = FxHashMap::default();
        for (index, pin) in pins.iter().enumerate() {
            let same = *by_net.entry((network.net(pin.point), pin.line)).or_insert(index);
            sets.union(same, index);
            let named = model.pin_at(pin.point).and_then(|pin| pin.network).map(|(network, _)| network);
            // A node that passes a bus on names both of its pins alike.
            if (named.is_some() || !pin.stem.is_empty()) && !drawn.contains(&(pin.device, pin.line)) {
                // Of another pair one name may be that of two pairs, which the words distinguish: one that sends and one that receives.
                let stem = if named.is_some() && !pin.is_other_pair { "" } else { pin.stem.as_str() };
                let same = *by_name.entry((pin.device, pin.line, named, stem)).or_insert(index);
                sets.union(same, index);
            }
        }
        Self { of: (0..pins.len()).map(|index| sets.find(index)).collect() }
    }

    fn of(&self, pin: usize) -> usize {
        self.of.get(pin).copied().unwrap_or(pin)
    }
}

/// For each group of high pins the group of low pins that most nodes pair with it.
fn partners(model: &Model, pins: &[BusPin], groups: &Groups) -> FxHashMap<usize, usize> {
    let mut by_device: BTreeMap<DeviceId, Vec<usize>> = BTreeMap::new();
    for (index, pin) in pins.iter().enumerate().filter(|(_, pin)| pin.line != Line::Single) {
        by_device.entry(pin.device).or_default().push(index);
    }
    let network = |point: PointId| model.pin_at(point).and_then(|pin| pin.network).map(|(network, _)| network);
    let mut votes: BTreeMap<(usize, usize), u32> = BTreeMap::new();
    for own in by_device.values() {
        let of = |line: Line| {
            own.iter().filter_map(move |index| Some((*index, pins.get(*index)?)).filter(|(_, pin)| pin.line == line))
        };
        for (high, one) in of(Line::High) {
            for (low, other) in of(Line::Low) {
                let by_network = network(one.point).is_some() && network(one.point) == network(other.point);
                let by_stem = !one.stem.is_empty() && one.stem == other.stem;
                let by_port = model.port_at(one.point) == model.port_at(other.point);
                let vote = 1 + 4 * u32::from(by_network) + 2 * u32::from(by_stem) + u32::from(by_port);
                *votes.entry((groups.of(high), groups.of(low))).or_default() += vote;
            }
        }
    }
    let mut best: FxHashMap<usize, (u32, usize)> = FxHashMap::default();
    for ((high, low), count) in votes {
        let known = best.entry(high).or_insert((count, low));
        if count > known.0 {
            *known = (count, low);
        }
    }
    best.into_iter().map(|(high, (_, low))| (high, low)).collect()
}

fn bus(model: &Model, network: &Network, pins: &[BusPin], groups: &Groups, first: usize, second: Option<usize>) -> Bus {
    let mut nodes: BTreeMap<DeviceId, BusNode> = BTreeMap::new();
    let mut named: Vec<(NetworkId, PointId, Span)> = Vec::new();
    let (mut ones, mut others) = (BTreeSet::new(), BTreeSet::new());
    let mut lines = Lines::Pair;
    let mut is_other_pair = true;
    for (index, pin) in pins.iter().enumerate() {
        let group = groups.of(index);
        if group != first && Some(group) != second {
            continue;
        }
        is_other_pair &= pin.is_other_pair;
        let said = model.pin_at(pin.point);
        let node = nodes.entry(pin.device).or_insert_with(|| BusNode {
            device: pin.device,
            first: Vec::new(),
            second: Vec::new(),
            termination: None,
            lin: None,
        });
        if group == first {
            node.first.push(pin.point);
            ones.insert(network.net(pin.point));
        } else {
            node.second.push(pin.point);
            others.insert(network.net(pin.point));
        }
        if pin.line == Line::Single {
            lines = Lines::Single;
        }
        node.termination = node.termination.or(said.and_then(|pin| pin.termination));
        node.lin = node.lin.or(said.and_then(|pin| pin.node));
        if let Some((network, span)) = said.and_then(|pin| pin.network)
            && named.iter().all(|(known, ..)| *known != network)
        {
            named.push((network, pin.point, span));
        }
    }
    let (nodes, second_alone) = nodes.into_values().partition(|node| !node.first.is_empty());
    Bus { lines, is_other_pair, first: ones, second: others, nodes, second_alone, named }
}
