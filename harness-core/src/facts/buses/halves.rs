//! Nodes that are on one line of a CAN pair alone.
//!
//! The idea: who has a pin on the one line and nothing on the other hears nothing. Where a pin of the node that says nothing of itself is on the other
//! line, that is the one that is meant; where none is, the node has to be one of few, or of a bus that has a name, for the pair to be sure.
//!
//! Cost: a pass over the nodes; for each that is found the pins of its device.

use super::{
    lines::{Line, is_wired, line_of},
    nodes::{Bus, BusNode, Lines},
};
use crate::{
    facts::Facts,
    model::{DeviceId, PointId},
    network::NetId,
};
use std::collections::BTreeSet;

/// A node on one line of a pair.
#[derive(Debug)]
pub struct HalfNode<'f> {
    /// The bus.
    pub bus: &'f Bus,
    /// The node.
    pub device: DeviceId,
    /// Its pin on the line that it has.
    pub pin: PointId,
    /// The line that it lacks.
    pub lacks: Line,
    /// A pin on the line that it lacks.
    pub other: PointId,
    /// Its pin that is on the line that it lacks and has no role; `None` where no wire comes from there.
    pub unnamed: Option<PointId>,
}

/// All of them, by the bus and the device. A pin of the line that no wire comes to is reported as such, one with another role as a clash, one on another
/// bus as a network in two.
pub(super) fn half_nodes(facts: &Facts) -> Vec<HalfNode<'_>> {
    let mut found = Vec::new();
    let all = facts.all_buses();
    let buses = all.whole.iter().chain(&all.halved).filter(|bus| bus.lines == Lines::Pair && !bus.is_other_pair);
    for bus in buses {
        let (Some(first), Some(second)) = (points(bus, Line::High).next(), points(bus, Line::Low).next()) else { continue };
        let without_second = bus.nodes.iter().filter(|node| node.second.is_empty());
        let lacking_second = without_second.filter_map(|node| Some((node.device, *node.first.first()?, Line::Low)));
        let lacking_first = bus.second_alone.iter().filter_map(|node| Some((node.device, *node.second.first()?, Line::High)));
        let halves: Vec<(DeviceId, PointId, Line)> = lacking_second.chain(lacking_first).collect();
        let of_both = bus.nodes.iter().filter(|node| !node.second.is_empty()).count();
        let is_sure = bus.network().is_some() || of_both > halves.len();
        for (device, pin, lacks) in halves {
            let (nets, other) = if lacks == Line::Low { (&bus.second, second) } else { (&bus.first, first) };
            match on_line(facts, device, lacks, nets) {
                Seat::Elsewhere => {}
                Seat::Unnamed(point) => found.push(HalfNode { bus, device, pin, lacks, other, unnamed: Some(point) }),
                Seat::None if is_sure => found.push(HalfNode { bus, device, pin, lacks, other, unnamed: None }),
                Seat::None => {}
            }
        }
    }
    found
}

fn points(bus: &Bus, line: Line) -> impl Iterator<Item = PointId> + '_ {
    let of = move |node: &'_ BusNode| if line == Line::Low { node.second.first().copied() } else { node.first.first().copied() };
    bus.nodes.iter().chain(&bus.second_alone).filter_map(of)
}

/// What a device has of a line.
enum Seat {
    /// A pin of that line, without a wire or on another bus, or one with another role.
    Elsewhere,
    /// A pin without a role on a net of it.
    Unnamed(PointId),
    /// None.
    None,
}

fn on_line(facts: &Facts, device: DeviceId, line: Line, nets: &BTreeSet<NetId>) -> Seat {
    let (model, network) = (facts.model(), facts.network());
    let wired = |point: PointId| is_wired(network, point);
    let of_other_bus = |point: PointId| {
        let net = network.net(point);
        facts.buses().iter().any(|bus| bus.first.contains(&net) || bus.second.contains(&net))
    };
    let mut seat = Seat::None;
    for point in model.points_of(&model[device]) {
        let is_on_net = nets.contains(&network.net(point)) && wired(point);
        if is_on_net && model.role_at(point).is_none() {
            return Seat::Unnamed(point);
        }
        let is_of_line = line_of(model, point).is_some_and(|(own, _)| own == line);
        if is_on_net || (is_of_line && !(wired(point) && of_other_bus(point))) {
            seat = Seat::Elsewhere;
        }
    }
    seat
}
