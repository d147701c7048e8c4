//! How a bus is terminated: resistors across its two lines, and terminators inside its nodes.

use super::{Bus, BusNode, Lines};
use crate::{
    facts::Facts,
    model::{DeviceId, ElementId, ElementKind, Model, PointId, Resistor},
    network::{EdgeKind, EdgeRole, MetalKind, NetId, Network},
    quantity::Ohm,
    standards::bus::terminator,
    vocabulary,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// Above this a resistor across the lines only biases them; in ohm.
const BIAS: f64 = 1000.0;

/// A terminator of a bus.
#[derive(Debug, Clone)]
pub struct Terminator {
    /// Its resistance: of one inside a bought node the nominal one.
    pub ohm: Ohm,
    /// Where it is on the first line.
    pub at: PointId,
    /// What it is made of; empty for one inside a bought node.
    pub parts: Vec<ElementId>,
    /// The device that it is in; `None` for one in a loom.
    pub device: Option<DeviceId>,
}

/// How a bus is terminated.
#[derive(Debug, Clone)]
pub struct Termination {
    /// Its terminators in the order of the points.
    pub ends: Vec<Terminator>,
    /// The resistance between its two lines, of all that is across them; `None` where nothing is.
    pub between: Option<Ohm>,
    /// A terminator hangs on one line alone, because no wire comes to the pin of its other end.
    pub is_cut: bool,
    /// Whether something says that the bus is terminated, or that a node is not.
    pub is_stated: bool,
    /// Nodes that say nothing of a terminator and draw none, by their place in the bus.
    pub silent: Vec<usize>,
    /// Nodes of which it is not known, or that have one to be switched on.
    pub unsure: Vec<(usize, vocabulary::Termination)>,
}

/// A resistor that is meant to terminate a bus and does not.
#[derive(Debug, Clone, Copy)]
pub struct TerminatorFault {
    /// The resistor.
    pub resistor: ElementId,
    /// Its two points.
    pub points: [PointId; 2],
}

/// One resistor between two nets.
#[derive(Debug, Clone, Copy)]
struct Between {
    element: ElementId,
    ohm: Ohm,
    points: [PointId; 2],
    nets: [NetId; 2],
}

/// All resistors by the nets at their ends.
#[derive(Debug)]
pub(super) struct Resistors {
    all: Vec<Between>,
    at: FxHashMap<NetId, Vec<usize>>,
    /// Nets that a wire or contact comes to.
    wired: FxHashSet<NetId>,
    /// Nets to which something else than resistors, capacitors and metal is joined.
    busy: FxHashMap<NetId, bool>,
}

impl Resistors {
    pub(super) fn new(model: &Model, network: &Network) -> Self {
        let mut found =
            Self { all: Vec::new(), at: FxHashMap::default(), wired: FxHashSet::default(), busy: FxHashMap::default() };
        for (_, edge) in network.edges() {
            let nets = [network.net(edge.a), network.net(edge.b)];
            match (edge.role, edge.element()) {
                (EdgeRole::Resistor, Some(element)) => {
                    let Some(ohm) = model[element].kind.resistance() else { continue };
                    let index = found.all.len();
                    found.all.push(Between { element, ohm, points: [edge.a, edge.b], nets });
                    for net in nets {
                        found.at.entry(net).or_default().push(index);
                    }
                }
                (EdgeRole::Capacitor | EdgeRole::Metal(MetalKind::Bar | MetalKind::Chassis), _) => {}
                (EdgeRole::Metal(_), _) => found.wired.extend(nets),
                (_, _) => {
                    for net in nets {
                        found.busy.insert(net, true);
                    }
                }
            }
        }
        found
    }

    /// Whether a resistor hangs on one line of a bus alone, because its other end is at a pin that no wire comes to: that wire is the fault.
    fn is_hanging(&self, model: &Model, bus: &Bus) -> bool {
        let lines = bus.first.iter().chain(&bus.second);
        let hanging = lines.flat_map(|net| self.at.get(net).into_iter().flatten()).filter_map(|index| self.all.get(*index));
        let is_open = |(net, point): (&NetId, &PointId)| !self.wired.contains(net) && model.port_at(*point).is_some();
        hanging.filter(|one| one.ohm.get() <= BIAS).any(|one| one.nets.iter().zip(&one.points).any(is_open))
    }

    /// What is across the two lines of a bus: single resistors, and two in series whose middle only a capacitor joins to anything.
    fn across(&self, bus: &Bus) -> Vec<(Ohm, PointId, Vec<ElementId>)> {
        let mut found = Vec::new();
        for one in
            bus.first.iter().flat_map(|net| self.at.get(net).into_iter().flatten()).filter_map(|index| self.all.get(*index))
        {
            let [(at, _), (_, far)] = match one.nets {
                [a, b] if bus.first.contains(&a) => [(one.points[0], a), (one.points[1], b)],
                [a, b] => [(one.points[1], b), (one.points[0], a)],
            };
            if bus.second.contains(&far) {
                found.push((one.ohm, at, vec![one.element]));
                continue;
            }
            let joined = self.at.get(&far).map_or(&[][..], Vec::as_slice);
            let [a, b] = joined else { continue };
            if self.busy.contains_key(&far) || bus.first.contains(&far) {
                continue;
            }
            let other = [*a, *b].into_iter().filter_map(|index| self.all.get(index)).find(|other| other.element != one.element);
            if let Some(other) = other.filter(|other| other.nets.iter().any(|net| bus.second.contains(net))) {
                found.push((one.ohm + other.ohm, at, vec![one.element, other.element]));
            }
        }
        found.sort_by_key(|(_, at, parts)| (*at, parts.first().copied()));
        found
    }
}

/// How a bus is terminated.
pub(super) fn termination(facts: &Facts, bus: &Bus, resistors: &Resistors) -> Termination {
    let model = facts.model();
    let mut found =
        Termination { ends: Vec::new(), between: None, is_cut: false, is_stated: false, silent: Vec::new(), unsure: Vec::new() };
    if bus.lines == Lines::Single {
        return found;
    }
    found.is_cut = resistors.is_hanging(model, bus);
    let mut siemens = 0.0;
    for (ohm, at, parts) in resistors.across(bus) {
        siemens += 1.0 / ohm.get();
        let is_meant =
            |part: &ElementId| matches!(&model[*part].kind, ElementKind::Resistor(resistor) if resistor.terminator.is_some());
        if ohm.get() > BIAS && !parts.iter().any(is_meant) {
            continue;
        }
        let device = parts.first().and_then(|part| model[*part].owner.device());
        found.ends.push(Terminator { ohm, at, parts, device });
    }
    let drawn: Vec<DeviceId> = found.ends.iter().filter_map(|end| end.device).collect();
    let stated = bus.nodes.iter().any(|node| node.termination.is_some());
    found.is_stated = stated || !found.ends.is_empty();
    for (index, node) in bus.nodes.iter().enumerate().filter(|(_, node)| !drawn.contains(&node.device)) {
        built_in(node, index, &mut found, &mut siemens);
    }
    found.ends.sort_by_key(|end| end.at);
    found.between = (siemens > 0.0).then(|| Ohm::new(1.0 / siemens));
    found
}

fn built_in(node: &BusNode, index: usize, found: &mut Termination, siemens: &mut f64) {
    match node.termination.map(|word| word.value) {
        Some(vocabulary::Termination::Fitted) => {
            let [_, nominal, _] = terminator().value;
            if let Some(at) = node.first.first() {
                *siemens += 1.0 / nominal.get();
                found.ends.push(Terminator { ohm: nominal, at: *at, parts: Vec::new(), device: Some(node.device) });
            }
        }
        Some(vocabulary::Termination::Absent) => {}
        Some(word @ (vocabulary::Termination::Switchable | vocabulary::Termination::Unknown)) => found.unsure.push((index, word)),
        None => found.silent.push(index),
    }
}

/// Resistors that say that they terminate a bus and are not across the two lines of one.
pub(super) fn faults(facts: &Facts) -> Vec<TerminatorFault> {
    let across: Vec<ElementId> =
        facts.terminations().iter().flat_map(|found| &found.ends).flat_map(|end| end.parts.iter().copied()).collect();
    let model = facts.model();
    let meant = model.elements().filter_map(|(id, element)| match &element.kind {
        ElementKind::Resistor(Resistor { terminator: Some(_), .. }) => Some((id, element.points.exactly())),
        _ => None,
    });
    // Where no wire comes to one of its ends, that wire is the fault.
    let wired = |point: PointId| {
        let net = facts.network().net(point);
        facts.network().net_points(net).iter().any(|point| {
            facts
                .network()
                .around(*point)
                .any(|(_, edge, _)| matches!(edge.kind, EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Wire(_)))
        })
    };
    // One whose bus has a single node in this design can't be judged; where a bus is cut in two, that is the fault.
    let is_cut =
        |bus: &Bus| facts.split_networks().iter().any(|split| bus.named.iter().any(|(network, ..)| *network == split.network));
    let on_bus = |point: PointId| {
        let net = facts.network().net(point);
        facts.buses().iter().any(|bus| (bus.first.contains(&net) || bus.second.contains(&net)) && !is_cut(bus))
    };
    meant
        .filter(|(id, points)| {
            !across.contains(id) && points.iter().any(|point| on_bus(*point)) && points.iter().all(|point| wired(*point))
        })
        .map(|(resistor, points)| TerminatorFault { resistor, points })
        .collect()
}
