//! Conductors that a source feeds past no fuse, and what each of them leads to.
//!
//! A walk from the poles of the sources gives to each point the pole that is nearest to it and the wire by which the current left.
//! Lines between two sources are found from each place that has a pole (`places`): the walk from one meets in the middle with the
//! walk from the other, so neither alone knows the line. The cable of a starter goes without a fuse by common practice: its wires
//! are kept apart, and a run to a fuse begins behind them.

use super::{
    ClusterId, Clusters, Sections, diodes,
    lines::{self, Line},
};
use crate::{
    electrical::{
        alternatives::{Closure, possible::Possible},
        lookup::Lookup,
    },
    model::{ElementId, ModeId, Model, PointId, PointKind, WireId},
    network::{Components, Edge, EdgeId, Network, Walk},
    quantity::Metre,
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// A cluster that a source feeds past no fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct Unfused {
    /// The source whose pole is nearest to the fault.
    pub source: ElementId,
    /// Its pole in the cluster.
    pub pole: PointId,
    /// Runs from the source to something that takes current, one for each wire that leaves the source.
    pub to_loads: Vec<Run>,
    /// Lines to another source.
    pub lines: Vec<Line>,
    /// Runs that end at something of which nothing is known, one for each end.
    pub to_unknown: Vec<Run>,
    /// Runs to a starter.
    pub starters: Vec<Run>,
    /// Runs from the source to a first fuse.
    pub lead_ins: Vec<LeadIn>,
}

impl Unfused {
    /// Takes over what another closure adds at the same pole.
    pub(super) fn merge(&mut self, other: Self) {
        for (own, others) in [(&mut self.to_loads, other.to_loads), (&mut self.starters, other.starters)] {
            for run in others {
                match own.iter_mut().find(|known| known.wires.first() == run.wires.first()) {
                    Some(known) => {
                        let more: Vec<WireId> = run.wires.into_iter().filter(|wire| !known.wires.contains(wire)).collect();
                        known.wires.extend(more);
                    }
                    None => own.push(run),
                }
            }
        }
        for run in other.to_unknown {
            if !self.to_unknown.iter().any(|known| known.load == run.load) {
                self.to_unknown.push(run);
            }
        }
        for line in other.lines {
            if !self.lines.iter().any(|known| known.poles == line.poles) {
                self.lines.push(line);
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
    /// The nearest point that takes current; for a run to something unknown, that.
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
    /// Sum of the lengths of its wires behind the cable of a starter; `None` if one of them has none.
    pub length: Option<Metre>,
    /// Its wires, from the source.
    pub wires: Vec<WireId>,
    /// The source that the fuse is nearer to than to this one, on its other side: it is that one's fuse.
    pub serves: Option<ElementId>,
}

/// What a walk from the source's poles knows of a point.
#[derive(Debug, Clone, Copy)]
struct Visit {
    /// The wire by which the walk came.
    wire: Option<WireId>,
    /// The wire by which the walk left the source.
    first: Option<WireId>,
    pole: PointId,
    feeds: Feeds,
}

/// What is at a point or behind it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Feeds {
    load: bool,
    starter: bool,
    unknown: bool,
}

impl Feeds {
    /// Whether something takes current, or may.
    #[must_use]
    pub fn is_any(self) -> bool {
        self.load || self.starter || self.unknown
    }
}

/// Finds all clusters that reach a ground through sources alone.
pub(super) fn unfused(
    network: &Network,
    closure: &Closure,
    possible: &Possible,
    clusters: &Clusters,
    sections: &Sections,
) -> Vec<Unfused> {
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
    let places = network.components(|_, edge| edge.is_metal() && edge.wire().is_none());
    let mut found = Vec::new();
    for group in poles.chunk_by(|a, b| a.0 == b.0) {
        if let Some((_, pole, source)) = group.first() {
            let starts: Vec<PointId> = group.iter().map(|(_, pole, _)| *pole).collect();
            let one_way = sections.one_way[sections.of(*pole)];
            found.push(walk(network, (closure, possible), &places, *source, (*pole, &starts, one_way)));
        }
    }
    found
}

/// Walks the cluster from the source's poles, nearest first, and carries back what takes current.
fn walk(
    network: &Network,
    (closure, possible): (&Closure, &Possible),
    places: &Components,
    source: ElementId,
    (pole, starts, one_way): (PointId, &[PointId], bool),
) -> Unfused {
    let walk = network.walk_along(starts.iter().copied(), |point, id, edge| {
        closure.passes_faults(id, edge) && !(one_way && diodes::blocks(edge, point))
    });
    let mut visits: Lookup<PointId, Visit> = Lookup::default();
    let mut ends: Vec<(PointId, Feeds)> = Vec::new();
    let mut fuses: Vec<(ElementId, PointId)> = Vec::new();
    let mut blocked: Vec<PointId> = Vec::new();
    for &point in walk.reached() {
        let visit = match walk.came(point) {
            Some(came) => {
                let (before, wire) = (visits[came.from], network[came.by].wire());
                Visit { wire, first: before.first.or(wire), pole: before.pole, feeds: Feeds::default() }
            }
            None => Visit { wire: None, first: None, pole: point, feeds: Feeds::default() },
        };
        // A balancing resistor across the source itself is not a load of a loom.
        let mut feeds = if point == visit.pole { Feeds::default() } else { feeds_at(network, point) };
        // A conductor that ends at a diode which blocks is as live as one that leads to a load.
        if one_way && network.around(point).any(|(id, edge, _)| closure.passes_faults(id, edge) && diodes::blocks(edge, point)) {
            feeds.load = true;
            blocked.push(point);
        }
        let met = network.around(point).filter(|(_, edge, _)| edge.role.is_fuse());
        fuses.extend(met.filter_map(|(_, edge, _)| Some((edge.element()?, point))));
        if feeds.is_any() {
            ends.push((point, feeds));
        }
        visits.0.insert(point, Visit { feeds, ..visit });
    }
    for point in walk.reached().iter().rev() {
        let Feeds { load, starter, unknown } = visits[*point].feeds;
        if let Some(came) = walk.came(*point) {
            let before = &mut visits[came.from].feeds;
            (before.load, before.starter, before.unknown) =
                (before.load || load, before.starter || starter, before.unknown || unknown);
        }
    }
    let order = walk.reached();
    let at = |which: fn(Feeds) -> bool| ends.iter().filter(move |(_, feeds)| which(*feeds)).map(|(point, _)| *point);
    let starters = runs(&visits, order, at(|feeds| feeds.starter), |feeds| feeds.starter);
    let exempt: FxHashSet<WireId> = starters.iter().flat_map(|run| run.wires.iter().copied()).collect();
    let mut to_loads = runs(&visits, order, at(|feeds| feeds.load), |feeds| feeds.load);
    for run in &mut to_loads {
        // What else hangs on the cable of a starter is named by the wires that branch off it.
        if run.wires.iter().any(|wire| !exempt.contains(wire)) {
            run.wires.retain(|wire| !exempt.contains(wire));
        }
    }
    let to_unknown = at(|feeds| feeds.unknown).filter_map(|point| to_unknown(&walk, &visits, point)).collect();
    let lead_ins =
        fuses.into_iter().map(|(fuse, at)| lead_in(network, (closure, possible), &walk, &visits, &exempt, (fuse, at))).collect();
    let mut lines = if blocked.is_empty() {
        lines::lines(network, closure, places, order)
    } else {
        // A line with a diode in it is fed from both ends all the same.
        let wide = network.walk(starts.iter().copied(), |id, edge| closure.passes_faults(id, edge));
        lines::lines(network, closure, places, wide.reached())
    };
    for line in &mut lines {
        line.way.retain(|wire| !exempt.contains(wire));
    }
    lines.retain(|line| !line.way.is_empty());
    let in_line = |wire: &WireId| lines.iter().any(|line| line.way.contains(wire) || line.beside.contains(wire));
    to_loads.retain(|run| !(blocked.contains(&run.load) && run.wires.iter().all(in_line)));
    Unfused { source, pole, to_loads, lines, to_unknown, starters, lead_ins }
}

/// Sorts the wires on the way to a load by the wire that leaves the source.
fn runs(
    visits: &Lookup<PointId, Visit>,
    order: &[PointId],
    ends: impl Iterator<Item = PointId>,
    which: fn(Feeds) -> bool,
) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut of: FxHashMap<WireId, usize> = FxHashMap::default();
    for load in ends {
        let visit = visits[load];
        // What sits on the pole itself hangs on no wire.
        let Some(first) = visit.first else { continue };
        of.entry(first).or_insert_with(|| {
            runs.push(Run { wires: Vec::new(), pole: visit.pole, load });
            runs.len() - 1
        });
    }
    for visit in order.iter().map(|point| visits[*point]).filter(|visit| which(visit.feeds)) {
        let run = visit.first.and_then(|first| of.get(&first)).and_then(|at| runs.get_mut(*at));
        if let (Some(run), Some(wire)) = (run, visit.wire) {
            run.wires.push(wire);
        }
    }
    runs
}

/// The way to an end of which nothing is known, for as far as nothing else hangs on it.
fn to_unknown(walk: &Walk, visits: &Lookup<PointId, Visit>, end: PointId) -> Option<Run> {
    let mut wires = Vec::new();
    let mut point = end;
    while let Some(came) = walk.came(point) {
        let visit = visits[point];
        if visit.feeds.load || visit.feeds.starter {
            break;
        }
        wires.extend(visit.wire);
        point = came.from;
    }
    wires.reverse();
    (!wires.is_empty()).then_some(Run { wires, pole: visits[end].pole, load: end })
}

/// What a point feeds by itself.
#[must_use]
pub fn feeds_at(network: &Network, point: PointId) -> Feeds {
    let model = network.model();
    let mut feeds = Feeds::default();
    let mut elements = false;
    for (_, edge, _) in network.around(point) {
        elements |= edge.element().is_some();
        let starts = edge.element().is_some_and(|element| model[element].kind.is_starter());
        feeds.starter |= starts;
        feeds.load |= !starts && (edge.role.draws() || edge.role.holds_back());
    }
    if elements {
        return feeds;
    }
    match dead_end(network, point) {
        Some(true) => feeds.load = true,
        Some(false) => feeds.unknown = true,
        None => {}
    }
    feeds
}

/// Whether a point without an element ends a conductor: `Some(true)` at a pin of which something is known, which takes some
/// current, `Some(false)` at one of which nothing is and at a loose end of a loom; `None` where it goes on.
fn dead_end(network: &Network, point: PointId) -> Option<bool> {
    let model = network.model();
    let item = &model[point];
    match item.kind {
        PointKind::Pin(_) | PointKind::Stud(_) => {}
        // A loose end, such as one that is capped.
        PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => {
            return (network.around(point).count() == 1).then_some(false);
        }
        PointKind::Node(_) => return None,
    }
    let pin = item.pin.map(|pin| &model[pin]);
    let takes = pin.is_some_and(|pin| pin.tap.is_some() || pin.role.is_some_and(|role| role.value == Role::Supply));
    if takes {
        return Some(true);
    }
    // At a stud where several rings meet the conductor goes on.
    if network.around(point).count() > 1 || pin.is_some_and(|pin| pin.spare.is_some()) {
        return None;
    }
    Some(pin.is_some_and(|pin| pin.role.is_some() || pin.signal.is_some() || pin.domain.is_some()))
}

fn lead_in(
    network: &Network,
    (closure, possible): (&Closure, &Possible),
    walk: &Walk,
    visits: &Lookup<PointId, Visit>,
    exempt: &FxHashSet<WireId>,
    (fuse, at): (ElementId, PointId),
) -> LeadIn {
    let model = network.model();
    let mut wires = Vec::new();
    let mut length = Some(Metre::ZERO);
    let mut point = at;
    while let Some(came) = walk.came(point) {
        if let Some(wire) = visits[point].wire {
            wires.push(wire);
            if !exempt.contains(&wire) {
                length = length.zip(model[wire].length.map(|at| at.value)).map(|(sum, own)| sum + own);
            }
        }
        point = came.from;
    }
    wires.reverse();
    let serves =
        beyond(network, (closure, possible), fuse, at).filter(|(_, other)| nearer(*other, length)).map(|(source, _)| source);
    LeadIn { fuse, at, pole: visits[at].pole, length, wires, serves }
}

/// The source that is nearest to a fuse on its other side, past no further fuse, with the length of the way; one that is never on while
/// the way to the fuse is closed is none.
fn beyond(
    network: &Network,
    (closure, possible): (&Closure, &Possible),
    fuse: ElementId,
    at: PointId,
) -> Option<(ElementId, Option<Metre>)> {
    let (_, _, other) = network.around(at).find(|(_, edge, _)| edge.element() == Some(fuse))?;
    let source = |point: PointId, mode: Option<ModeId>| {
        let is_on = |id: EdgeId| mode.is_none_or(|mode| possible.is_in(id, mode));
        network
            .around(point)
            .find(|(id, edge, _)| edge.role.drives() && is_on(*id))
            .and_then(|(id, edge, _)| Some((id, edge.element()?)))
    };
    let way = |mode: Option<ModeId>| {
        let is_closed = |id: EdgeId| mode.is_none_or(|mode| possible.is_in(id, mode));
        let goes_on = |id: EdgeId, edge: &Edge| closure.passes_faults(id, edge) && is_closed(id);
        let steps = network.path(other, |point| source(point, mode).is_some(), goes_on)?;
        let end = steps.last().map_or(other, |step| step.point);
        Some((source(end, mode)?, steps))
    };
    let (mut nearest, mut steps) = way(None)?;
    let is_way = |mode: &ModeId| possible.is_in(nearest.0, *mode) && steps.iter().all(|step| possible.is_in(step.edge, *mode));
    if !possible.modes().iter().any(is_way) {
        let ways = possible.modes().iter().filter_map(|mode| way(Some(*mode)));
        (nearest, steps) = ways.min_by_key(|(_, steps)| steps.len())?;
    }
    let wires = steps.iter().filter_map(|step| network[step.edge].wire());
    Some((nearest.1, length_of(network.model(), wires)))
}

/// The sum of the lengths of wires; `None` if one of them has none.
fn length_of(model: &Model, mut wires: impl Iterator<Item = WireId>) -> Option<Metre> {
    wires.try_fold(Metre::ZERO, |sum, wire| model[wire].length.map(|own| sum + own.value))
}

/// Whether a way is surely shorter than another.
fn nearer(one: Option<Metre>, other: Option<Metre>) -> bool {
    one.zip(other).is_some_and(|(one, other)| one < other)
}
