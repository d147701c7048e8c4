//! Conductors that a source feeds past no fuse.

use super::{ClusterId, Clusters, Sections};
use crate::{
    electrical::{alternatives::Closure, lookup::Lookup},
    model::{ElementId, Model, PointId, PointKind, WireId},
    network::{Network, Walk},
    quantity::Metre,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

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

impl Unfused {
    /// Takes over what another closure adds at the same pole.
    pub(super) fn merge(&mut self, other: Self) {
        for run in other.to_loads {
            match self.to_loads.iter_mut().find(|known| known.wires.first() == run.wires.first()) {
                Some(known) => {
                    let more: Vec<WireId> = run.wires.into_iter().filter(|wire| !known.wires.contains(wire)).collect();
                    known.wires.extend(more);
                }
                None => self.to_loads.push(run),
            }
        }
        for lead_in in other.lead_ins {
            if !self.lead_ins.iter().any(|known| known.fuse == lead_in.fuse && known.at == lead_in.at) {
                self.lead_ins.push(lead_in);
            }
        }
    }
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
    /// The wire by which the walk came.
    wire: Option<WireId>,
    /// The wire by which the walk left the source.
    first: Option<WireId>,
    pole: PointId,
    feeds_load: bool,
}

/// Finds all clusters that reach a ground through sources alone.
pub(super) fn unfused(network: &Network, closure: &Closure, clusters: &Clusters, sections: &Sections) -> Vec<Unfused> {
    let mut poles: Vec<(ClusterId, PointId, ElementId)> = Vec::new();
    for (_, edge) in network.edges() {
        let Some(source) = edge.element().filter(|_| edge.role.drives_without_limit()) else { continue };
        for pole in [edge.a, edge.b] {
            if sections.grounded[sections.of(pole)] && !clusters.grounds(pole) {
                poles.push((clusters.of(pole), pole, source));
            }
        }
    }
    poles.sort_unstable();
    let mut found = Vec::new();
    for group in poles.chunk_by(|a, b| a.0 == b.0) {
        if let Some((_, pole, source)) = group.first() {
            let starts: Vec<PointId> = group.iter().map(|(_, pole, _)| *pole).collect();
            found.push(walk(network, closure, *source, (*pole, &starts)));
        }
    }
    found
}

/// Walks the cluster from the source's poles, nearest first, and carries back what takes current.
fn walk(network: &Network, closure: &Closure, source: ElementId, (pole, starts): (PointId, &[PointId])) -> Unfused {
    let walk = network.walk(starts.iter().copied(), |id, edge| closure.passes_faults(id, edge));
    let mut visits: Lookup<PointId, Visit> = Lookup::default();
    let mut loads: Vec<PointId> = Vec::new();
    let mut fuses: Vec<(ElementId, PointId)> = Vec::new();
    for &point in walk.reached() {
        let visit = match walk.came(point) {
            Some(came) => {
                let (before, wire) = (visits[came.from], network[came.by].wire());
                Visit { wire, first: before.first.or(wire), pole: before.pole, feeds_load: false }
            }
            None => Visit { wire: None, first: None, pole: point, feeds_load: false },
        };
        let mut takes = is_dead_end(network, point);
        for (_, edge, _) in network.around(point) {
            if edge.role.is_fuse() {
                fuses.extend(edge.element().map(|fuse| (fuse, point)));
            }
            takes |= edge.role.draws() || edge.role.holds_back();
        }
        // A balancing resistor across the source itself is no load of a loom.
        let feeds_load = takes && point != visit.pole;
        if feeds_load {
            loads.push(point);
        }
        visits.0.insert(point, Visit { feeds_load, ..visit });
    }
    for point in walk.reached().iter().rev() {
        if let (true, Some(came)) = (visits[*point].feeds_load, walk.came(*point)) {
            visits[came.from].feeds_load = true;
        }
    }
    let to_loads = runs(&visits, walk.reached(), &loads);
    let lead_ins = fuses.into_iter().map(|(fuse, at)| lead_in(network.model(), &walk, &visits, fuse, at)).collect();
    Unfused { source, pole, to_loads, lead_ins }
}

/// Sorts the wires on the way to a load by the wire that leaves the source.
fn runs(visits: &Lookup<PointId, Visit>, order: &[PointId], loads: &[PointId]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut of: FxHashMap<WireId, usize> = FxHashMap::default();
    for load in loads {
        let visit = visits[*load];
        // What sits on the pole itself hangs on no wire.
        let Some(first) = visit.first else { continue };
        of.entry(first).or_insert_with(|| {
            runs.push(Run { wires: Vec::new(), pole: visit.pole, load: *load });
            runs.len() - 1
        });
    }
    for visit in order.iter().map(|point| visits[*point]).filter(|visit| visit.feeds_load) {
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
    let item = &model[point];
    match item.kind {
        PointKind::Pin(_) | PointKind::Stud(_) => {}
        PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => return false,
    }
    let pin = item.pin.map(|pin| &model[pin]);
    let takes = pin.is_some_and(|pin| pin.tap.is_some() || pin.role.is_some_and(|role| role.value == Role::Supply));
    takes && network.around(point).all(|(_, edge, _)| edge.element().is_none())
}

fn lead_in(model: &Model, walk: &Walk, visits: &Lookup<PointId, Visit>, fuse: ElementId, at: PointId) -> LeadIn {
    let mut wires = Vec::new();
    let mut length = Some(Metre::ZERO);
    let mut point = at;
    while let Some(came) = walk.came(point) {
        if let Some(wire) = visits[point].wire {
            wires.push(wire);
            let own = model[wire].length.map(|at| at.value);
            length = length.zip(own).map(|(sum, own)| sum + own);
        }
        point = came.from;
    }
    wires.reverse();
    LeadIn { fuse, at, pole: visits[at].pole, length, wires }
}
