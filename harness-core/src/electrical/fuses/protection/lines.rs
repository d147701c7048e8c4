//! Lines that join two sources past no fuse: either drives a current into a fault of the line, from its own end.

use crate::{
    electrical::alternatives::Closure,
    model::{ElementId, PointId, WireId},
    network::{Components, Edge, EdgeId, GroupId, Network},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

/// A line between two sources, past no fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The two sources; at least one of them has no limit.
    pub sources: [ElementId; 2],
    /// The poles between which it runs, of the same polarity.
    pub poles: [PointId; 2],
    /// Its wires on the shortest way, from the first pole.
    pub way: Vec<WireId>,
    /// Further wires side by side with them.
    pub beside: Vec<WireId>,
}

/// Where poles are: all that is one piece of metal without a wire.
#[derive(Debug, Clone, Copy, Default)]
struct Place {
    /// A source, its pole and whether it has no limit, by the polarity of the pole.
    poles: [Option<(ElementId, PointId, bool)>; 2],
}

/// The lines among the points of one cluster.
///
/// A line joins poles of the same polarity: what joins unlike ones puts modules in a row, which is the inside of a battery. Cost: a
/// walk over the cluster for each place of a source.
pub(super) fn lines(network: &Network, closure: &Closure, places: &Components, cluster: &[PointId]) -> Vec<Line> {
    let mut sources: FxHashMap<GroupId, Place> = FxHashMap::default();
    let mut order: Vec<GroupId> = Vec::new();
    for point in cluster {
        for (_, edge, _) in network.around(*point).filter(|(_, edge, _)| edge.role.drives()) {
            let Some(source) = edge.element() else { continue };
            let place = places.of(*point);
            let at = sources.entry(place).or_insert_with(|| {
                order.push(place);
                Place::default()
            });
            let positive = usize::from(edge.b == *point);
            let unlimited = edge.role.drives_without_limit();
            if let Some(slot) = at.poles.get_mut(positive)
                && slot.is_none_or(|(first, _, without)| (!without && unlimited) || (without == unlimited && source < first))
            {
                *slot = Some((source, *point, unlimited));
            }
        }
    }
    if order.len() < 2 {
        return Vec::new();
    }
    order.sort_unstable();
    let search =
        Search { network, closure, places, within: cluster.iter().copied().collect(), beside: beside(network, places, cluster) };
    let mut lines = Vec::new();
    for start in &order {
        // Each pair is found from both places and kept once.
        lines.extend(search.from(&sources, *start).into_iter().filter(|line| line.0 > *start));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

/// The wires between two places, by these.
fn beside(network: &Network, places: &Components, cluster: &[PointId]) -> FxHashMap<(GroupId, GroupId), Vec<WireId>> {
    let mut beside: FxHashMap<(GroupId, GroupId), Vec<WireId>> = FxHashMap::default();
    for point in cluster {
        for (_, edge, _) in network.around(*point).filter(|(_, edge, _)| edge.a == *point) {
            if let Some(wire) = edge.wire() {
                beside.entry(pair(places, edge)).or_default().push(wire);
            }
        }
    }
    beside
}

fn pair(places: &Components, edge: &Edge) -> (GroupId, GroupId) {
    let (a, b) = (places.of(edge.a), places.of(edge.b));
    (a.min(b), a.max(b))
}

/// What a search for lines needs to know of a cluster.
struct Search<'a> {
    network: &'a Network,
    closure: &'a Closure,
    places: &'a Components,
    within: FxHashSet<PointId>,
    beside: FxHashMap<(GroupId, GroupId), Vec<WireId>>,
}

/// How a walk came to a point: from where and by which edge.
type Came = FxHashMap<PointId, Option<(PointId, EdgeId)>>;

impl Search<'_> {
    /// The lines from one place to the next ones, with the place at the other end. A walk goes no further than to a place.
    fn from(&self, sources: &FxHashMap<GroupId, Place>, start: GroupId) -> Vec<(GroupId, Line)> {
        let Some(own) = sources.get(&start) else { return Vec::new() };
        let mut came = Came::default();
        let mut waiting: VecDeque<PointId> = VecDeque::new();
        for (_, point, _) in own.poles.iter().flatten() {
            if came.insert(*point, None).is_none() {
                waiting.push_back(*point);
            }
        }
        let mut found: Vec<(GroupId, Line)> = Vec::new();
        let mut met: FxHashSet<GroupId> = FxHashSet::default();
        while let Some(point) = waiting.pop_front() {
            let at = self.places.of(point);
            if at != start
                && let Some(other) = sources.get(&at)
            {
                if met.insert(at) {
                    found.extend(self.line(own, other, &came, point).map(|line| (at, line)));
                }
                continue;
            }
            for (id, edge, next) in self.network.around(point) {
                if self.closure.passes_faults(id, edge) && self.within.contains(&next) && !came.contains_key(&next) {
                    came.insert(next, Some((point, id)));
                    waiting.push_back(next);
                }
            }
        }
        found
    }

    /// The line that ends at `end`; `None` where it joins unlike poles, runs over no wire, or neither source is without a limit.
    fn line(&self, own: &Place, other: &Place, came: &Came, end: PointId) -> Option<Line> {
        let mut alike = own.poles.iter().zip(&other.poles).filter_map(|(one, other)| Some(((*one)?, (*other)?)));
        let (first, second) = alike.next()?;
        if !first.2 && !second.2 {
            return None;
        }
        let mut edges = Vec::new();
        let mut point = end;
        while let Some((before, edge)) = came.get(&point).copied().flatten() {
            edges.extend(self.network[edge].wire().map(|wire| (wire, edge)));
            point = before;
        }
        edges.reverse();
        let way: Vec<WireId> = edges.iter().map(|(wire, _)| *wire).collect();
        if way.is_empty() {
            return None;
        }
        let pairs = edges.iter().filter_map(|(_, edge)| self.beside.get(&pair(self.places, &self.network[*edge])));
        let beside = pairs.flatten().copied().filter(|wire| !way.contains(wire)).collect();
        Some(Line { sources: [first.0, second.0], poles: [first.1, second.1], way, beside })
    }
}
