//! Conductors that a source feeds past no fuse.

use super::{Part, Strings};
use crate::{
    model::{ElementId, Model, PointId, PointKind, WireId},
    network::{Components, EdgeId, Network},
    quantity::Metre,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;
use std::collections::VecDeque;

/// A cluster that a source feeds past no fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct Unfused {
    /// The source whose pole is nearest to the fault.
    pub source: ElementId,
    /// Its pole in the cluster.
    pub pole: PointId,
    /// Runs from the source to something that takes current, one for each wire that leaves the source.
    pub to_loads: Vec<Run>,
    /// Runs from the source to a first fuse.
    pub lead_ins: Vec<LeadIn>,
}

/// What hangs on one wire that leaves a source and takes current past no fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its wires on the way to something that takes current, nearest to the source first; at least one.
    pub wires: Vec<WireId>,
    /// The pole that it leaves.
    pub pole: PointId,
    /// The nearest point that takes current.
    pub load: PointId,
}

/// A run from a source to its first fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct LeadIn {
    /// The fuse.
    pub fuse: ElementId,
    /// The fuse's terminal that the run reaches.
    pub at: PointId,
    /// The source's pole where it begins.
    pub pole: PointId,
    /// Sum of the lengths of its wires; `None` if one of them has none.
    pub length: Option<Metre>,
    /// Its wires, from the source.
    pub wires: Vec<WireId>,
}

/// What a walk from the source's poles knows of a point.
#[derive(Debug, Clone, Copy)]
struct Visit {
    before: PointId,
    wire: Option<WireId>,
    /// The wire by which the walk left the source.
    first: Option<WireId>,
    pole: PointId,
    feeds_load: bool,
}

/// Finds all clusters that reach a ground through sources alone.
pub(super) fn unfused(
    network: &Network,
    clusters: &Components,
    strings: &Strings,
    ground: &[bool],
    parts: &[Part],
) -> Vec<Unfused> {
    let mut poles: Vec<(u32, PointId, ElementId)> = Vec::new();
    for ((_, edge), part) in network.edges().zip(parts) {
        let Part::Source { element, limited: false } = part else { continue };
        for pole in [edge.a, edge.b] {
            let cluster = clusters.of(pole);
            let is_ground = ground.get(cluster as usize).copied().unwrap_or(true);
            let is_fed = strings.is_grounded(strings.of(pole));
            if is_fed && !is_ground {
                poles.push((cluster, pole, *element));
            }
        }
    }
    poles.sort_unstable();
    let mut found = Vec::new();
    for group in poles.chunk_by(|a, b| a.0 == b.0) {
        if let Some((_, pole, source)) = group.first() {
            let starts: Vec<PointId> = group.iter().map(|(_, pole, _)| *pole).collect();
            found.push(walk(network, parts, *source, *pole, &starts));
        }
    }
    found
}

/// Walks the cluster from the source's poles, nearest first, and carries back what takes current.
fn walk(network: &Network, parts: &[Part], source: ElementId, pole: PointId, starts: &[PointId]) -> Unfused {
    let model = network.model();
    let part_of = |id: EdgeId| parts.get(id.index()).copied().unwrap_or(Part::Load);
    let mut visits: FxHashMap<PointId, Visit> = FxHashMap::default();
    let mut order: Vec<PointId> = Vec::new();
    let mut waiting = VecDeque::new();
    for start in starts {
        let visit = Visit { before: *start, wire: None, first: None, pole: *start, feeds_load: false };
        if visits.insert(*start, visit).is_none() {
            waiting.push_back(*start);
        }
    }
    let mut loads: Vec<PointId> = Vec::new();
    let mut fuses: Vec<(ElementId, PointId)> = Vec::new();
    while let Some(point) = waiting.pop_front() {
        order.push(point);
        let mut takes = is_dead_end(network, point);
        let (from, first) = visits.get(&point).map_or((point, None), |visit| (visit.pole, visit.first));
        for (id, edge, other) in network.around(point) {
            match part_of(id) {
                Part::Conductor if !visits.contains_key(&other) => {
                    let (wire, first) = (edge.wire(), first.or(edge.wire()));
                    visits.insert(other, Visit { before: point, wire, first, pole: from, feeds_load: false });
                    waiting.push_back(other);
                }
                Part::Fuse(fuse) => fuses.push((fuse, point)),
                Part::Load => takes = true,
                _ => {}
            }
        }
        // A balancing resistor across the source itself is no load of a loom.
        if takes && point != from {
            loads.push(point);
            if let Some(visit) = visits.get_mut(&point) {
                visit.feeds_load = true;
            }
        }
    }
    for point in order.iter().rev() {
        let Some(visit) = visits.get(point).copied() else { continue };
        if let (true, Some(before)) = (visit.feeds_load, visits.get_mut(&visit.before)) {
            before.feeds_load = true;
        }
    }
    let to_loads = runs(&visits, &order, &loads);
    let lead_ins = fuses.into_iter().map(|(fuse, at)| lead_in(model, &visits, fuse, at)).collect();
    Unfused { source, pole, to_loads, lead_ins }
}

/// Sorts the wires on the way to a load by the wire that leaves the source.
fn runs(visits: &FxHashMap<PointId, Visit>, order: &[PointId], loads: &[PointId]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut of: FxHashMap<WireId, usize> = FxHashMap::default();
    for load in loads {
        let Some(visit) = visits.get(load) else { continue };
        let Some(first) = visit.first else { continue };
        of.entry(first).or_insert_with(|| {
            runs.push(Run { wires: Vec::new(), pole: visit.pole, load: *load });
            runs.len() - 1
        });
    }
    for visit in order.iter().filter_map(|point| visits.get(point)).filter(|visit| visit.feeds_load) {
        let run = visit.first.and_then(|first| of.get(&first)).and_then(|at| runs.get_mut(*at));
        if let (Some(run), Some(wire)) = (run, visit.wire) {
            run.wires.push(wire);
        }
    }
    runs
}

/// Whether a point is a supply pin, or a tap of a string, of a device of which nothing inside is known: it takes some current.
fn is_dead_end(network: &Network, point: PointId) -> bool {
    let model = network.model();
    let Some(item) = model.point(point) else { return false };
    if !matches!(item.kind, PointKind::Pin(_) | PointKind::Stud(_)) {
        return false;
    }
    let pin = item.pin.and_then(|pin| model.pin(pin));
    let takes = pin.is_some_and(|pin| pin.tap.is_some() || pin.role.is_some_and(|role| role.value == Role::Supply));
    takes && network.around(point).all(|(_, edge, _)| edge.element().is_none())
}

fn lead_in(model: &Model, visits: &FxHashMap<PointId, Visit>, fuse: ElementId, at: PointId) -> LeadIn {
    let mut wires = Vec::new();
    let mut length = Some(0.0);
    let mut point = at;
    let mut pole = at;
    while let Some(visit) = visits.get(&point) {
        pole = visit.pole;
        if let Some(wire) = visit.wire {
            wires.push(wire);
            let own = model.wire(wire).and_then(|wire| wire.length).map(|at| at.value.get());
            length = length.zip(own).map(|(sum, own)| sum + own);
        }
        if visit.before == point {
            break;
        }
        point = visit.before;
    }
    wires.reverse();
    LeadIn { fuse, at, pole, length: length.map(Metre::new), wires }
}
