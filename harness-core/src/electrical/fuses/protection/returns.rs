//! Which fuse limits the current of a return: what a load passes on, its feed let in.
//!
//! The conductors of a ground form a graph; where it is a tree, every load has one way back to its source's negative pole,
//! and each conductor on it may come to carry what the fuse of the load's feed lets through. A return that several loads
//! share goes by the largest of their fuses. A conductor of which a second way leads round is left out: how they share is a
//! matter of resistance. A source's own lead to the chassis goes by its first fuse, because any bare place of a hot
//! conductor may touch the chassis.

use super::{Feed, Part, Strings};
use crate::{
    electrical::fuses::fuse::kind_of,
    model::{ElementId, ElementKind, Model, PointId, WireId},
    network::{Components, EdgeId, EdgeKind, Network, Terminal},
};
use rustc_hash::FxHashMap;

/// A conductor that leads back what a fuse lets through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Return {
    /// The largest fuse whose current it may carry.
    pub fuse: ElementId,
    /// The conductor.
    pub wire: WireId,
    /// The load that passes the current on, or the source whose lead it is.
    pub of: ElementId,
}

/// A way of current through a ground, with the fuse that limits it.
#[derive(Debug, Clone, Copy)]
struct Way {
    limit: Limit,
    of: ElementId,
    from: PointId,
    to: PointId,
}

/// A fuse with its rating.
#[derive(Debug, Clone, Copy)]
struct Limit {
    rating: f64,
    fuse: ElementId,
}

impl Limit {
    /// The smaller of two fuses that one current passes.
    fn least(self, other: Option<Self>) -> Self {
        other.filter(|other| other.rating < self.rating).unwrap_or(self)
    }
}

/// A load between what a fuse feeds and a ground.
#[derive(Debug, Clone, Copy)]
struct Drain {
    limit: Limit,
    of: ElementId,
    at: PointId,
    place: Place,
}

/// Where current can flow in circles: an island of hot conductors over one tree of a ground, by their numbers.
type Place = (u32, u32);

/// The negative pole of a source at a ground.
#[derive(Debug, Clone, Copy)]
struct Pole {
    place: Place,
    limited: bool,
    /// The largest fuse that its hot side meets first.
    first: Option<Limit>,
    at: PointId,
    of: ElementId,
}

/// What the search needs to know of a design.
pub(super) struct Grounds<'a> {
    pub model: &'a Model,
    pub network: &'a Network,
    pub clusters: &'a Components,
    pub strings: &'a Strings,
    pub ground: &'a [bool],
    pub parts: &'a [Part],
}

/// Finds for each conductor of a ground the largest fuse whose current it may carry, sorted by fuse.
///
/// Cost: a walk over the grounds, and nearly linear in the loads: the largest fuse goes first, and no conductor is walked
/// twice.
pub(super) fn returns(grounds: &Grounds<'_>, feeds: &[Feed]) -> Vec<Return> {
    let islands = grounds.network.components(|id, edge| {
        let joins = matches!(grounds.part(id), Part::Conductor | Part::Fuse(_) | Part::Source { limited: false, .. });
        joins && !grounds.has(edge.a) && !grounds.has(edge.b)
    });
    let mut forest = Forest::over(grounds);
    let poles = grounds.poles(&islands, &forest);
    let mut ways = grounds.leads(&poles, &forest);
    ways.extend(to_poles(grounds.drains(feeds, &islands, &forest), &poles));
    // A stable sort: of equal fuses the one that was written first decides.
    ways.sort_by(|a, b| b.limit.rating.total_cmp(&a.limit.rating));
    let mut found = Vec::new();
    for way in ways {
        forest.mark(way.from, way.to, |edge| {
            if let Some(wire) = grounds.network.edge(edge).and_then(|edge| edge.wire()) {
                found.push(Return { fuse: way.limit.fuse, wire, of: way.of });
            }
        });
    }
    found.sort_unstable_by_key(|found| (found.fuse, found.wire));
    found
}

/// The ways from the loads to the poles of their sources.
///
/// Each load goes to the pole that gives most; with that way, the ways between the poles make the ways to all. A source with
/// a limit gives nothing that a fuse would have to end: it counts where there is no other.
fn to_poles(mut drains: Vec<Drain>, poles: &[Pole]) -> Vec<Way> {
    drains.sort_by(|a, b| a.place.cmp(&b.place).then(b.limit.rating.total_cmp(&a.limit.rating)));
    let mut ways = Vec::new();
    for group in drains.chunk_by(|a, b| a.place == b.place) {
        let Some(largest) = group.first() else { continue };
        let first = poles.partition_point(|pole| pole.place < largest.place);
        let mut poles = poles.iter().skip(first).take_while(|pole| pole.place == largest.place);
        let Some(main) = poles.next() else { continue };
        let to_main = |drain: &Drain| Way { limit: drain.limit.least(main.first), of: drain.of, from: drain.at, to: main.at };
        ways.extend(group.iter().map(to_main));
        let others = poles.take_while(|pole| pole.limited == main.limited);
        ways.extend(others.map(|pole| Way {
            limit: largest.limit.least(pole.first),
            of: largest.of,
            from: main.at,
            to: pole.at,
        }));
    }
    ways
}

impl Grounds<'_> {
    fn part(&self, id: EdgeId) -> Part {
        self.parts.get(id.index()).copied().unwrap_or(Part::Load)
    }

    fn is_ground(&self, cluster: u32) -> bool {
        self.ground.get(cluster as usize).copied().unwrap_or(false)
    }

    fn has(&self, point: PointId) -> bool {
        self.is_ground(self.clusters.of(point))
    }

    fn limit(&self, fuse: ElementId) -> Option<Limit> {
        Some(Limit { rating: kind_of(self.model, fuse)?.rating?.value.get(), fuse })
    }

    /// Whether an edge takes what its feed lets in, once it fails: a resistor limits its own current, a capacitor's is none.
    fn takes(&self, id: EdgeId, kind: EdgeKind) -> bool {
        match (self.part(id), kind) {
            // A converter that fails shorted takes from what it feeds.
            (Part::Source { limited, .. }, _) => limited,
            (Part::Load, EdgeKind::Element(element, terminal)) => match terminal {
                Terminal::Coil | Terminal::Input => true,
                _ => self.model.element(element).is_some_and(|element| matches!(element.kind, ElementKind::Load { .. })),
            },
            _ => false,
        }
    }

    /// The loads between a string that fuses feed and a ground, each with the largest of the fuses.
    fn drains(&self, feeds: &[Feed], islands: &Components, forest: &Forest) -> Vec<Drain> {
        let mut fed: FxHashMap<u32, Limit> = FxHashMap::default();
        for feed in feeds {
            let Some(limit) = self.limit(feed.fuse) else { continue };
            for cluster in feed.fed.iter().flatten() {
                let Some(point) = self.clusters.members(*cluster).first() else { continue };
                let string = self.strings.of(*point);
                if self.is_ground(*cluster) || self.strings.is_grounded(string) {
                    continue;
                }
                let largest = fed.entry(string).or_insert(limit);
                if limit.rating > largest.rating {
                    *largest = limit;
                }
            }
        }
        let mut drains = Vec::new();
        for (id, edge) in self.network.edges() {
            let Some((of, _)) = edge.element().filter(|_| self.takes(id, edge.kind)) else { continue };
            let (hot, at) = if self.has(edge.a) { (edge.b, edge.a) } else { (edge.a, edge.b) };
            if self.has(hot) || !self.has(at) {
                continue;
            }
            if let Some(limit) = fed.get(&self.strings.of(hot)) {
                drains.push(Drain { limit: *limit, of, at, place: (islands.of(hot), forest.tree(at)) });
            }
        }
        drains
    }

    /// The poles of sources at a ground by place; of each place the one that gives most first, those with a limit last.
    fn poles(&self, islands: &Components, forest: &Forest) -> Vec<Pole> {
        let firsts = self.firsts();
        let mut poles = Vec::new();
        for (id, edge) in self.network.edges() {
            let Part::Source { element, limited } = self.part(id) else { continue };
            if self.has(edge.a) && !self.has(edge.b) {
                let place = (islands.of(edge.b), forest.tree(edge.a));
                poles.push(Pole { place, limited, first: firsts.get(&id).copied(), at: edge.a, of: element });
            }
        }
        let gives = |pole: &Pole| pole.first.map_or(f64::INFINITY, |first| first.rating);
        poles.sort_by(|a, b| (a.place, a.limited).cmp(&(b.place, b.limited)).then(gives(b).total_cmp(&gives(a))));
        poles
    }

    /// For the sources at a ground the largest fuse that the hot side meets first, over the sources in series with it.
    fn firsts(&self) -> FxHashMap<EdgeId, Limit> {
        let mut below: Vec<(u32, EdgeId)> = Vec::new();
        let mut fuses: Vec<(Limit, EdgeId)> = Vec::new();
        for (id, edge) in self.network.edges() {
            match self.part(id) {
                Part::Source { limited: false, .. } => below.push((self.clusters.of(edge.b), id)),
                Part::Fuse(fuse) => fuses.extend(self.limit(fuse).map(|limit| (limit, id))),
                _ => {}
            }
        }
        below.sort_unstable();
        fuses.sort_by(|a, b| b.0.rating.total_cmp(&a.0.rating));
        let mut seen = vec![false; self.clusters.len()];
        let mut firsts = FxHashMap::default();
        for (limit, id) in fuses {
            let Some(edge) = self.network.edge(id) else { continue };
            let mut waiting = vec![self.clusters.of(edge.a), self.clusters.of(edge.b)];
            while let Some(cluster) = waiting.pop() {
                match seen.get_mut(cluster as usize) {
                    Some(seen) if !*seen && !self.is_ground(cluster) => *seen = true,
                    _ => continue,
                }
                let first = below.partition_point(|(of, _)| *of < cluster);
                for (_, source) in below.iter().skip(first).take_while(|(of, _)| *of == cluster) {
                    let Some(edge) = self.network.edge(*source) else { continue };
                    if self.has(edge.a) {
                        firsts.insert(*source, limit);
                    } else {
                        waiting.push(self.clusters.of(edge.a));
                    }
                }
            }
        }
        firsts
    }

    /// The leads of sources to the chassis.
    fn leads(&self, poles: &[Pole], forest: &Forest) -> Vec<Way> {
        let mut chassis: FxHashMap<u32, PointId> = FxHashMap::default();
        for (_, edge) in self.network.edges() {
            if matches!(edge.kind, EdgeKind::Chassis(_)) && self.has(edge.a) {
                chassis.entry(forest.tree(edge.a)).or_insert(edge.a);
            }
        }
        let lead =
            |pole: &Pole| Some(Way { limit: pole.first?, of: pole.of, from: pole.at, to: *chassis.get(&forest.tree(pole.at))? });
        poles.iter().filter_map(lead).collect()
    }
}

/// The conductors and fuses of the grounds as a forest, in which every edge that is no bridge is already joined.
struct Forest {
    parent: Vec<Option<(PointId, EdgeId)>>,
    depth: Vec<u32>,
    tree: Vec<u32>,
    /// A point above it on the same joined or marked run, or the point itself at its top.
    above: Vec<u32>,
}

impl Forest {
    /// Walks without recursion; parallel conductors are told apart by their edge.
    fn over(grounds: &Grounds<'_>) -> Self {
        let count = grounds.network.point_count();
        let mut forest = Self {
            parent: vec![None; count],
            depth: vec![0; count],
            tree: vec![u32::MAX; count],
            above: (0..count as u32).collect(),
        };
        let (mut order, mut low) = (vec![u32::MAX; count], vec![u32::MAX; count]);
        let mut next = 0;
        for start in (0..count).map(PointId::from_index).filter(|point| grounds.has(*point)) {
            if get(&order, start) != u32::MAX {
                continue;
            }
            let mut stack = vec![(start, grounds.network.around(start))];
            set(&mut forest.tree, start, start.index() as u32);
            enter(&mut order, &mut low, start, &mut next);
            while let Some((point, edges)) = stack.last_mut() {
                let point = *point;
                let own = forest.parent.get(point.index()).copied().flatten();
                if let Some((id, _, other)) = edges.next() {
                    let passes = matches!(grounds.part(id), Part::Conductor | Part::Fuse(_));
                    if !passes || !grounds.has(other) || own.is_some_and(|(_, edge)| edge == id) {
                        continue;
                    }
                    if get(&order, other) == u32::MAX {
                        if let Some(slot) = forest.parent.get_mut(other.index()) {
                            *slot = Some((point, id));
                        }
                        let depth = get(&forest.depth, point).saturating_add(1);
                        set(&mut forest.depth, other, depth);
                        set(&mut forest.tree, other, start.index() as u32);
                        enter(&mut order, &mut low, other, &mut next);
                        stack.push((other, grounds.network.around(other)));
                    } else {
                        let lowest = get(&low, point).min(get(&order, other));
                        set(&mut low, point, lowest);
                    }
                    continue;
                }
                stack.pop();
                if let Some((parent, _)) = own {
                    // Something at or below the point reaches above it: a second way leads round the edge to its parent.
                    if get(&low, point) < get(&order, point) {
                        set(&mut forest.above, point, parent.index() as u32);
                    }
                    let lowest = get(&low, parent).min(get(&low, point));
                    set(&mut low, parent, lowest);
                }
            }
        }
        forest
    }

    /// The first point of the tree that holds `point`.
    fn tree(&self, point: PointId) -> u32 {
        get(&self.tree, point)
    }

    fn top(&mut self, point: PointId) -> PointId {
        let mut point = point;
        loop {
            let above = PointId::from_index(get(&self.above, point) as usize);
            if above == point {
                return point;
            }
            // Halving the way as it is walked keeps ways short.
            let next = get(&self.above, above);
            set(&mut self.above, point, next);
            point = above;
        }
    }

    /// Calls `each` for every bridge between two points of one tree that was not walked before.
    fn mark(&mut self, from: PointId, to: PointId, mut each: impl FnMut(EdgeId)) {
        let (mut from, mut to) = (self.top(from), self.top(to));
        while from != to {
            if get(&self.depth, from) < get(&self.depth, to) {
                (from, to) = (to, from);
            }
            let Some((parent, edge)) = self.parent.get(from.index()).copied().flatten() else { return };
            each(edge);
            set(&mut self.above, from, parent.index() as u32);
            from = self.top(parent);
        }
    }
}

fn enter(order: &mut [u32], low: &mut [u32], point: PointId, next: &mut u32) {
    set(order, point, *next);
    set(low, point, *next);
    *next += 1;
}

fn get(values: &[u32], point: PointId) -> u32 {
    values.get(point.index()).copied().unwrap_or(u32::MAX)
}

fn set(values: &mut [u32], point: PointId, to: u32) {
    if let Some(slot) = values.get_mut(point.index()) {
        *slot = to;
    }
}

#[cfg(test)]
mod tests {
    use super::{Forest, Grounds};
    use crate::{
        electrical::protection::{Part, Strings},
        model::{Model, PointId, WireId},
        network::{Edge, EdgeKind, EdgeRole, MetalKind, Network},
    };
    use petgraph::graph::NodeIndex;
    use proptest::prelude::*;

    proptest! {
        /// Against a slow oracle: a conductor carries the largest current whose two ends it alone joins.
        #[test]
        fn the_largest_way_over_each_bridge_is_found(
            edges in prop::collection::vec((0..9_u32, 0..9_u32), 0..14),
            ways in prop::collection::vec((0..9_u32, 0..9_u32), 0..8),
        ) {
            let mut network = Network::bare();
            (0..9).for_each(|_| { network.graph.add_node(()); });
            for (at, (a, b)) in edges.iter().enumerate() {
                let kind = EdgeKind::Wire(WireId::from_index(at));
                let role = EdgeRole::Metal(MetalKind::Wire);
                let edge = Edge { a: PointId(*a), b: PointId(*b), kind, role };
                network.graph.add_edge(NodeIndex::new(*a as usize), NodeIndex::new(*b as usize), edge);
            }
            let clusters = network.components(|_, _| true);
            let (model, strings) = (Model::default(), Strings::default());
            let ground = vec![true; clusters.len()];
            let parts = vec![Part::Conductor; edges.len()];
            let grounds =
                Grounds { model: &model, network: &network, clusters: &clusters, strings: &strings, ground: &ground, parts: &parts };
            let mut forest = Forest::over(&grounds);
            // The ways stand from the largest to the smallest.
            let mut found = vec![None; edges.len()];
            for (rank, (from, to)) in ways.iter().enumerate() {
                if clusters.of(PointId(*from)) == clusters.of(PointId(*to)) {
                    forest.mark(PointId(*from), PointId(*to), |edge| {
                        let slot = &mut found[edge.index()];
                        assert!(slot.is_none(), "marked twice");
                        *slot = Some(rank);
                    });
                }
            }
            for (at, found) in found.iter().enumerate() {
                let without = network.components(|id, _| id.index() != at);
                let parts = |(from, to): &(u32, u32)| {
                    let joined = clusters.of(PointId(*from)) == clusters.of(PointId(*to));
                    joined && without.of(PointId(*from)) != without.of(PointId(*to))
                };
                prop_assert_eq!(*found, ways.iter().position(parts), "edge {}", at);
            }
        }
    }
}
