//! What may belong at a terminal that has no wire: a ring, a bare end or a wire of a place nearby that holds more than one.
//!
//! These are guesses: each is made in memory, and one that puts right other findings as well is the slip. None is offered on its own, because a wire that was
//! left out has the same look.

use super::remedies::moved;
use crate::{
    facts::Facts,
    finding::{Remedy, RemedyKind},
    model::{EndId, EndKind, Mate, Model, PointId, PointKind, PortId, PortKind},
};

/// Guesses for one terminal: those of its own device first.
const MOST: usize = 6;

/// The moves that would bring a wire to `open`, a terminal of a device without one.
#[must_use]
pub fn moved_here(facts: &Facts, open: PointId) -> Vec<Remedy> {
    let mut found = match facts.model()[open].kind {
        PointKind::Pin(_) => wires(facts, open),
        PointKind::Stud(port) => {
            facts.wire_ends().at_port(port).next().map_or_else(|| ends(facts, port), |end| to_end(facts, end))
        }
        PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) | PointKind::Node(_) => Vec::new(),
    };
    found.truncate(MOST);
    found.into_iter().map(Remedy::guess).collect()
}

/// Wires of the same connector: those that share a cavity, and those at a pin that is kept for nothing.
fn wires(facts: &Facts, open: PointId) -> Vec<Remedy> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let Some(cavity) = ends.cavity_at(model, open) else { return Vec::new() };
    let PointKind::Cavity(end) = model[cavity].kind else { return Vec::new() };
    let is_for_nothing = |at: PointId| {
        let pin = ends.opposite(model, at).and_then(|point| model[point].pin);
        pin.is_none_or(|pin| model[pin].spare.is_some() || model[pin].signal.is_none() && model[pin].role.is_none())
    };
    let others = model[end].points.iter().filter(|at| *at != cavity);
    let may_leave = others.filter(|at| ends.wires(*at).len() > 1 || is_for_nothing(*at));
    may_leave.flat_map(|at| ends.wires(at)).filter_map(|wire| moved(facts, wire, cavity)).collect()
}

/// Wires that share a ring or bare end of the same device with others, led to one that is there and has none.
fn to_end(facts: &Facts, open: EndId) -> Vec<Remedy> {
    let (model, all) = (facts.model(), facts.wire_ends());
    let device = |end: EndId| match all.partner(end) {
        Some(Mate::Port(port)) => Some(model[port].device),
        Some(Mate::End(_)) | None => None,
    };
    let (loom, own) = (model[open].loom, device(open));
    let name = model.text(model[open].name);
    let like = model.ends().filter(|(id, end)| {
        *id != open && end.loom == loom && device(*id) == own && matches!(end.kind, EndKind::Ring(_) | EndKind::Bare)
    });
    let wires = like.filter_map(|(_, end)| end.points.get(0)).filter(|at| all.wires(*at).len() > 1).flat_map(|at| all.wires(at));
    let moves = wires.map(|wire| {
        let words = format!(
            "move wire `{}` from `{}` to `{}`",
            model.wire_name(wire.wire),
            model.point_name(wire.point),
            model.end_name(open)
        );
        Remedy::new(RemedyKind::Move, words).edit(wire.span, name)
    });
    moves.collect()
}

/// Rings and bare ends that share a place of the same sort, on this device and then on others.
fn ends(facts: &Facts, open: PortId) -> Vec<Remedy> {
    let (model, all) = (facts.model(), facts.wire_ends());
    let device = model[open].device;
    let is_like = |port: PortId| match (&model[open].kind, &model[port].kind) {
        // A ring that does not go on the other stud is found when it is tried.
        (PortKind::Stud(_), PortKind::Stud(_)) => true,
        (PortKind::Landing(_), PortKind::Landing(_)) => true,
        _ => false,
    };
    let is_own = |port: &PortId| model[*port].device == device;
    let shared = |port: &PortId| *port != open && is_like(*port) && all.at_port(*port).nth(1).is_some();
    let mut ports: Vec<PortId> = model.ports().map(|(id, _)| id).filter(shared).collect();
    // Elsewhere only what is for the same: a ring on the stud of the neighbour.
    let role = |port: PortId| model[port].points.get(0).and_then(|point| model.role_at(point));
    ports.retain(|port| is_own(port) || role(*port).is_some() && role(*port) == role(open));
    ports.sort_by_key(|port| (!is_own(port), *port));
    let ends = ports.into_iter().flat_map(|port| all.at_port(port));
    ends.filter_map(|end| bolted_here(model, end, open)).collect()
}

/// The end led to another terminal; `None` for a connector, and for an end that does not say where it leads.
fn bolted_here(model: &Model, end: EndId, open: PortId) -> Option<Remedy> {
    if !matches!(model[end].kind, EndKind::Ring(_) | EndKind::Bare) {
        return None;
    }
    let (goal, name) = (model.port_name(open), model.end_name(end));
    let from = model[end].mate.map(|mate: Mate| model.mate_name(mate))?;
    let words = format!("move {} `{name}` from `{from}` to `{goal}`", model[end].noun());
    Some(Remedy::new(RemedyKind::Mating, words).edit(model[end].mate_span?, goal))
}
