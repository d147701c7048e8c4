//! Reference conductors beside a bus whose nodes have a ground in common already.
//!
//! The idea: a reference is a run of wires between ground pins of nodes, at the plugs of the bus or named after it, on which nothing else is. Where
//! two of its nodes return to one ground by another pin too, reference and returns are a loop.

use super::{Bus, lines::is_wired};
use crate::{
    facts::{Facts, names::Label, pins::PinAt},
    model::{DeviceId, PointId, PointKind, WireId},
    network::{Components, Edge, EdgeKind, EdgeRole, GroupId, MetalKind, Step},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;
use std::collections::{BTreeMap, BTreeSet};

/// A reference conductor that makes a loop with the returns of two nodes.
#[derive(Debug, Clone)]
pub struct GroundLoop {
    /// The bus, by its place among the buses.
    pub bus: usize,
    /// The pins of the reference at the first two nodes.
    pub reference: [PointId; 2],
    /// The pins of their returns.
    pub returns: [PointId; 2],
    /// The wires of the reference.
    pub wires: Vec<WireId>,
}

/// All of them.
pub(super) fn ground_loops(facts: &Facts) -> Vec<GroundLoop> {
    if facts.buses().is_empty() {
        return Vec::new();
    }
    let (model, network) = (facts.model(), facts.network());
    let nodes: FxHashSet<DeviceId> = facts.buses().iter().flat_map(|bus| bus.nodes.iter().map(|node| node.device)).collect();
    // What a node joins inside is what makes the loop: it is left out.
    let is_inside = |point: PointId| model.device_at(point).is_some_and(|device| nodes.contains(&device));
    let outside =
        network.components(|_, edge| edge.is_metal() && !(edge.role == EdgeRole::Metal(MetalKind::Bar) && is_inside(edge.a)));
    facts.buses().iter().enumerate().flat_map(|(index, bus)| of_bus(facts, index, bus, &outside)).collect()
}

fn of_bus(facts: &Facts, index: usize, bus: &Bus, outside: &Components) -> Vec<GroundLoop> {
    let mut seen: FxHashSet<GroupId> = FxHashSet::default();
    let mut found = Vec::new();
    for node in &bus.nodes {
        for pin in facts.pins().of_device(node.device) {
            let group = outside.of(pin.point);
            if is_reference(facts, bus, pin) && seen.insert(group) {
                found.extend(of_reference(facts, index, bus, outside, group));
            }
        }
    }
    found.extend(direct(facts, index, bus));
    found
}

/// Wires straight from the ground of one node to that of another, which are joined without it too.
fn direct(facts: &Facts, index: usize, bus: &Bus) -> Vec<GroundLoop> {
    let (model, network) = (facts.model(), facts.network());
    let is_node = |device: DeviceId| bus.nodes.iter().any(|node| node.device == device);
    let grounds = bus.nodes.iter().flat_map(|node| facts.pins().of_device(node.device)).filter(|pin| is_ground(pin));
    let wires = grounds.flat_map(|pin| {
        let cavities = network.around(pin.point).filter(|(_, edge, _)| matches!(edge.kind, EdgeKind::Contact(_)));
        cavities.flat_map(|(_, _, cavity)| facts.wire_ends().wires(cavity)).map(|end| (end.wire, pin.point))
    });
    let mut ends: BTreeMap<WireId, BTreeSet<PointId>> = BTreeMap::new();
    for (wire, pin) in wires {
        ends.entry(wire).or_default().insert(pin);
    }
    let mut found: Vec<GroundLoop> = Vec::new();
    for (wire, pins) in ends {
        let [one, other] = pins.into_iter().collect::<Vec<_>>()[..] else { continue };
        if model.device_at(one) == model.device_at(other) || found.iter().any(|known| known.reference == [one, other]) {
            continue;
        }
        let is_inside = |edge: &Edge| model.device_at(edge.a).is_some_and(is_node) && matches!(edge.kind, EdgeKind::Element(_));
        let around =
            network.path(one, |point| point == other, |_, edge| edge.is_metal() && edge.wire() != Some(wire) && !is_inside(edge));
        // Wires side by side from one node to the other are one way; a loop leads over something else.
        let is_elsewhere = |step: &Step| {
            matches!(model[step.point].kind, PointKind::Ring(_))
                || model.device_at(step.point).is_some_and(|device| !is_node(device))
        };
        if around.is_some_and(|steps| steps.iter().any(is_elsewhere)) {
            found.push(GroundLoop { bus: index, reference: [one, other], returns: [one, other], wires: vec![wire] });
        }
    }
    found
}

fn is_ground(pin: &PinAt) -> bool {
    matches!(pin.role, Some(Role::Return | Role::SensorReturn))
}

/// Whether a pin is one for the reference of the bus: a ground at the plug of its lines, or one that is named after a bus.
fn is_reference(facts: &Facts, bus: &Bus, pin: &PinAt) -> bool {
    let model = facts.model();
    let lines =
        || bus.nodes.iter().filter(|node| node.device == pin.device).flat_map(|node| node.first.iter().chain(&node.second));
    let is_beside = || lines().any(|line| model.plug_at(*line).is_some() && model.plug_at(*line) == model.plug_at(pin.point));
    let is_named = || {
        let label = Label::of(pin.signal_name(model));
        label.words.iter().any(|word| ["can", "bus", "reference"].contains(&word.as_str()))
    };
    is_ground(pin) && (is_beside() || is_named())
}

/// The loop of one reference: of the nodes on it two that return to one ground by another pin.
fn of_reference(facts: &Facts, index: usize, bus: &Bus, outside: &Components, group: GroupId) -> Option<GroundLoop> {
    let model = facts.model();
    let pins = facts.pins();
    let on_it: Vec<PinAt> = outside.members(group).iter().filter_map(|point| at(facts, *point)).collect();
    let is_node = |pin: &PinAt| bus.nodes.iter().any(|node| node.device == pin.device);
    if !on_it.iter().all(|pin| is_node(pin) && is_ground(pin)) {
        return None;
    }
    let mut returned: Vec<(PinAt, PinAt, GroupId)> = Vec::new();
    for pin in on_it.iter().filter(|pin| !is_isolated(facts, pin)) {
        let others = pins.of_device(pin.device).iter().filter(|other| other.role == Some(Role::Return));
        // Returns from one node straight to the other are beside the reference, as in the plugs of trailers.
        let leads_away = |group: GroupId| {
            outside
                .members(group)
                .iter()
                .filter_map(|point| at(facts, *point))
                .any(|pin| !is_node(&pin) && is_source(facts, &pin))
        };
        for other in others.filter(|other| outside.of(other.point) != group && leads_away(outside.of(other.point))) {
            returned.push((*pin, *other, outside.of(other.point)));
        }
    }
    let two = returned.iter().enumerate().find_map(|(place, one)| {
        let other = returned.iter().skip(place + 1).find(|other| other.2 == one.2 && other.0.device != one.0.device)?;
        Some((*one, *other))
    });
    let ((one, first, _), (other, second, _)) = two?;
    let mut wires: Vec<WireId> = outside
        .members(group)
        .iter()
        .flat_map(|point| facts.wire_ends().wires(*point).iter().map(|end| end.wire))
        .filter(|wire| model[model[*wire].loom].fitted)
        .collect();
    wires.sort_unstable();
    wires.dedup();
    Some(GroundLoop { bus: index, reference: [one.point, other.point], returns: [first.point, second.point], wires })
}

/// Whether a pin is the pole of a source or of the chassis.
fn is_source(facts: &Facts, pin: &PinAt) -> bool {
    let is_pole = || facts.network().around(pin.point).any(|(_, edge, _)| matches!(edge.role, EdgeRole::Source { .. }));
    facts.model()[pin.device].chassis || pin.role == Some(Role::Chassis) || is_pole()
}

fn at(facts: &Facts, point: PointId) -> Option<PinAt> {
    let device = facts.model().device_at(point)?;
    facts.pins().of_device(device).iter().find(|pin| pin.point == point && is_wired(facts.network(), point)).copied()
}

/// Whether the node says that this plug is isolated from the rest of it.
fn is_isolated(facts: &Facts, pin: &PinAt) -> bool {
    let model = facts.model();
    let port = model.port_at(pin.point);
    model[pin.device]
        .isolation
        .iter()
        .any(|item| port.is_some_and(|port| item.between.contains(&port) || item.and.contains(&port)))
}
