//! Batteries: the cells of a box, their outer poles, and where hands take them off.

use super::pieces::is_class_b;
use crate::{
    electrical::what_if::Change,
    facts::Facts,
    model::{DeviceId, ElementKind, EndId, PointId, PointKind},
    network::{Edge, EdgeId, EdgeKind, NetId},
    quantity::Volt,
    standards::reading::trickle,
    vocabulary::Reference,
};
use std::collections::{BTreeMap, BTreeSet, btree_map::Entry};

/// Heights in volt that differ by less are one.
const SAME: f64 = 1e-9;

/// A battery: the cells of one device.
pub(super) struct Battery {
    pub(super) device: DeviceId,
    pub(super) class_b: bool,
    /// Where it comes off: the contacts of its negative pole and of taps, of a plug all of them; all of its contacts where another way leads out of its
    /// box.
    pub(super) lead: Vec<EdgeId>,
    /// The ends of looms that are taken off; empty where it comes off by itself.
    pub(super) ends: Vec<EndId>,
    /// They are rings and bare ends, not plugs.
    pub(super) bolted: bool,
    /// The outer poles, at ports where it has any there.
    pub(super) poles: [PointId; 2],
}

/// All batteries, those of class A first. Disconnects separate what they open.
pub(super) fn batteries(facts: &Facts, disconnects: &BTreeSet<EdgeId>) -> Vec<Battery> {
    let network = facts.network();
    let mut of: BTreeMap<DeviceId, Vec<EdgeId>> = BTreeMap::new();
    for (id, edge) in network.edges().filter(|(_, edge)| is_battery(facts, edge)) {
        if let Some(device) = owner(facts, edge) {
            of.entry(device).or_default().push(id);
        }
    }
    let mut found: Vec<(Battery, BTreeSet<PointId>)> = Vec::new();
    for (device, mut cells) in of {
        // A box may hold several that nothing joins.
        while let Some((battery, reached)) = battery(facts, device, &cells) {
            cells.retain(|cell| !reached.contains(&network[*cell].a));
            found.push((battery, reached));
        }
    }
    other_ways_out(facts, &mut found);
    let mut found: Vec<Battery> = found.into_iter().map(|(battery, _)| battery).collect();
    // The battery of the controls before those of the drive.
    found.sort_by_key(|battery| battery.class_b);
    // A battery of class B that disconnects and contactors separate from its contacts stays plugged in.
    for battery in found.iter_mut().filter(|battery| battery.class_b) {
        if is_separated(facts, battery, disconnects) {
            battery.lead.clear();
        }
    }
    found
}

/// Whether nothing in its own box joins the poles of a battery over its cells with disconnects out and contactors open.
fn is_separated(facts: &Facts, battery: &Battery, disconnects: &BTreeSet<EdgeId>) -> bool {
    let [negative, positive] = battery.poles;
    let (mut seen, mut ahead) = (BTreeSet::from([negative]), vec![negative]);
    while let Some(at) = ahead.pop() {
        for (id, edge, next) in facts.network().around(at) {
            let is_open = disconnects.contains(&id) || edge.role.is_relay_contact();
            let joins = owner(facts, edge) == Some(battery.device) && edge.role.is_galvanic() && !edge.role.draws() && !is_open;
            if joins && seen.insert(next) {
                ahead.push(next);
            }
        }
    }
    !seen.contains(&positive)
}

/// Takes every contact off a battery that gives a current to the outside in some mode with its lead off: what draws inside its box and has a
/// second way out is the way back then.
///
/// Cost: nothing where one contact of each box is left; else a state of each mode.
fn other_ways_out(facts: &Facts, found: &mut [(Battery, BTreeSet<PointId>)]) {
    let network = facts.network();
    let all: BTreeSet<EdgeId> = found.iter().flat_map(|(battery, _)| battery.lead.iter().copied()).collect();
    let contacts: Vec<Vec<(EdgeId, PointId)>> =
        found.iter().map(|(battery, reached)| contacts(facts, battery.device, reached)).collect();
    // What is left on one piece of metal has no voltage to give.
    let left = |contacts: &[(EdgeId, PointId)]| -> BTreeSet<NetId> {
        contacts.iter().filter(|(edge, _)| !all.contains(edge)).map(|(_, point)| network.net(*point)).collect()
    };
    if contacts.iter().all(|contacts| left(contacts).len() < 2) {
        return;
    }
    let supplies = network.edges().filter(|(_, edge)| edge.role.is_source() && !is_battery(facts, edge)).map(|(id, _)| id);
    let changes: Vec<Change> = all.iter().copied().chain(supplies).map(Change::Open).collect();
    for state in facts.electrical().modes_as_written() {
        let Some(state) = facts.electrical().awoken(state.id, &changes) else { continue };
        for ((battery, _), contacts) in found.iter_mut().zip(&contacts) {
            if contacts.iter().any(|(edge, _)| !all.contains(edge) && state.amps(*edge).abs() > trickle().value) {
                take_off(facts, battery, contacts.iter().map(|(edge, _)| *edge).collect());
            }
        }
    }
}

/// The contacts of a box that lead out of it from what its cells reach, over loads too, each with the point of the box.
fn contacts(facts: &Facts, device: DeviceId, reached: &BTreeSet<PointId>) -> Vec<(EdgeId, PointId)> {
    let network = facts.network();
    let mut seen = reached.clone();
    let mut ahead: Vec<PointId> = reached.iter().copied().collect();
    let mut found = Vec::new();
    while let Some(at) = ahead.pop() {
        for (id, edge, next) in network.around(at) {
            if owner(facts, edge) == Some(device) {
                if edge.role.is_galvanic() && seen.insert(next) {
                    ahead.push(next);
                }
            } else if is_contact(edge) {
                found.push((id, at));
            }
        }
    }
    found
}

/// Sets where a battery comes off: at these contacts, each plug with all of its own.
fn take_off(facts: &Facts, battery: &mut Battery, mut lead: Vec<EdgeId>) {
    let network = facts.network();
    let ends: BTreeSet<EndId> = lead.iter().filter_map(|id| end_of(&network[*id])).collect();
    let plugs: BTreeSet<EndId> = lead.iter().filter_map(|id| plug_of(&network[*id])).collect();
    lead.extend(network.edges().filter(|(_, edge)| plug_of(edge).is_some_and(|end| plugs.contains(&end))).map(|(id, _)| id));
    lead.sort_unstable();
    lead.dedup();
    (battery.lead, battery.ends, battery.bolted) = (lead, ends.into_iter().collect(), plugs.is_empty());
}

/// The battery of the first of some cells of a device, its outer poles and where it comes off, with the points that belong to it.
fn battery(facts: &Facts, device: DeviceId, cells: &[EdgeId]) -> Option<(Battery, BTreeSet<PointId>)> {
    let (model, network) = (facts.model(), facts.network());
    let start = network[*cells.first()?].a;
    let is_inside = |edge: &Edge| owner(facts, edge) == Some(device);
    // What a contact separates from the cells is a pole where no other contact of the box is one.
    let all = heights(facts, device, start, true);
    let bare = heights(facts, device, start, false);
    let is_port = |point: PointId| matches!(model[point].kind, PointKind::Pin(_) | PointKind::Stud(_));
    let leaves = |point: PointId| network.around(point).any(|(_, edge, _)| !is_inside(edge));
    let outer = |sign: f64| {
        let of = |heights: &BTreeMap<PointId, f64>| {
            let rank = |point: PointId| (is_port(point) && leaves(point), is_port(point));
            let best = heights.iter().min_by(|(one, one_height), (other, other_height)| {
                let by_height = (sign * **one_height).total_cmp(&(sign * **other_height));
                by_height.then(rank(**other).cmp(&rank(**one))).then(one.cmp(other))
            });
            best.map(|(point, _)| *point)
        };
        of(&bare).filter(|point| is_port(*point)).or_else(|| of(&all))
    };
    let (negative, positive) = (outer(1.0)?, outer(-1.0)?);
    let most = all.get(&positive).copied()?;
    // All but the positive pole: a tap between the cells feeds too.
    let below = all.iter().filter(|(_, height)| **height < most - SAME).map(|(point, _)| *point);
    let mut lead: Vec<EdgeId> = below
        .filter(|point| is_port(*point))
        .flat_map(|point| network.around(point))
        .filter(|(_, edge, _)| is_contact(edge))
        .map(|(id, ..)| id)
        .collect();
    if lead.is_empty() {
        lead.extend(cells.first());
    }
    let class_b = all.keys().any(|point| is_class_b(facts, *point));
    let poles = [negative, positive];
    let mut battery = Battery { device, class_b, lead: Vec::new(), ends: Vec::new(), bolted: true, poles };
    take_off(facts, &mut battery, lead);
    Some((battery, all.into_keys().collect()))
}

/// The points of a box that its cells are joined to, each with its height over the first one in volt; past its contacts or not.
fn heights(facts: &Facts, device: DeviceId, start: PointId, past_contacts: bool) -> BTreeMap<PointId, f64> {
    let (model, network) = (facts.model(), facts.network());
    let leads = |edge: &Edge| {
        let joins = edge.role.joins_battery() && (past_contacts || !edge.role.cuts_coils());
        owner(facts, edge) == Some(device) && (joins || is_battery(facts, edge))
    };
    let mut heights: BTreeMap<PointId, f64> = BTreeMap::from([(start, 0.0)]);
    let mut ahead = vec![(start, 0.0)];
    while let Some((at, height)) = ahead.pop() {
        for (_, edge, next) in network.around(at).filter(|(_, edge, _)| leads(edge)) {
            let emf = edge.element().and_then(|element| model[element].kind.open_voltage()).map(Volt::get);
            // From the negative point of a source to the positive one, which is its second.
            let step = emf.map_or(0.0, |emf| if at == edge.a { emf } else { -emf });
            if let Entry::Vacant(free) = heights.entry(next) {
                free.insert(height + step);
                ahead.push((next, height + step));
            }
        }
    }
    heights
}

fn is_contact(edge: &Edge) -> bool {
    match edge.kind {
        EdgeKind::Contact(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) => true,
        EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Element(_) => false,
    }
}

fn end_of(edge: &Edge) -> Option<EndId> {
    match edge.kind {
        EdgeKind::Contact(end) | EdgeKind::Joint(end) => Some(end),
        EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    }
}

fn plug_of(edge: &Edge) -> Option<EndId> {
    match edge.kind {
        EdgeKind::Contact(end) => Some(end),
        EdgeKind::Joint(_) | EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    }
}

fn owner(facts: &Facts, edge: &Edge) -> Option<DeviceId> {
    facts.model()[edge.element()?].owner.device()
}

/// A source without a limit, of direct voltage: cells. One of alternating voltage or against earth is the mains.
pub(super) fn is_battery(facts: &Facts, edge: &Edge) -> bool {
    let domain = facts.electrical().domains().of(edge.a).or_else(|| facts.electrical().domains().of(edge.b));
    let is_supply = domain.is_some_and(|domain| facts.model()[domain].ac || facts.model()[domain].reference == Reference::Earth);
    let everywhere = edge.element().is_some_and(|element| match facts.model()[element].kind {
        ElementKind::Source { modes, .. } => facts.electrical().modes().all(|state| modes.has(state.id)),
        _ => false,
    });
    edge.role.takes_charge() && !is_supply && everywhere
}
