//! Which fuse limits the current of a return: what a load passes on, its feed let in.
//!
//! The conductors of a ground form a graph; where it is a tree, every load has one way back to its source's negative pole,
//! and each conductor on it may come to carry what the fuse of the load's feed lets through. A return that several loads
//! share goes by the largest of their fuses. A conductor of which a second way leads round is left out: how they share is a
//! matter of resistance. A source's own lead to the chassis goes by its first fuse, because any bare place of a hot
//! conductor may touch the chassis.

mod forest;

use super::{Feed, Strings};
use crate::{
    arena::IdVec,
    electrical::fuses::fuse::kind_of,
    model::{ElementId, PointId, WireId},
    network::{Components, EdgeId, EdgeRole, GroupId, MetalKind, Network},
};
use forest::Forest;
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

/// A current that goes through a ground, with the fuse that limits it.
#[derive(Debug, Clone, Copy)]
struct Passage {
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

/// Where current can flow in circles: an island of hot conductors over one tree of a ground, by its first point.
type Place = (GroupId, PointId);

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
    pub network: &'a Network,
    pub clusters: &'a Components,
    pub strings: &'a Strings,
    pub ground: &'a IdVec<GroupId, bool>,
}

/// Finds for each conductor of a ground the largest fuse whose current it may carry, sorted by fuse.
///
/// Cost: a walk over the grounds, and nearly linear in the loads: the largest fuse goes first, and no conductor is walked
/// twice.
pub(super) fn returns(grounds: &Grounds<'_>, feeds: &[Feed]) -> Vec<Return> {
    let islands = grounds.network.components(|_, edge| {
        let joins = edge.role.conducts_when_closed() || edge.role.drives_without_limit();
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
            if let Some(wire) = grounds.network[edge].wire() {
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
fn to_poles(mut drains: Vec<Drain>, poles: &[Pole]) -> Vec<Passage> {
    drains.sort_by(|a, b| a.place.cmp(&b.place).then(b.limit.rating.total_cmp(&a.limit.rating)));
    let mut ways = Vec::new();
    for group in drains.chunk_by(|a, b| a.place == b.place) {
        let Some(largest) = group.first() else { continue };
        let first = poles.partition_point(|pole| pole.place < largest.place);
        let mut poles = poles.iter().skip(first).take_while(|pole| pole.place == largest.place);
        let Some(main) = poles.next() else { continue };
        let to_main = |drain: &Drain| Passage { limit: drain.limit.least(main.first), of: drain.of, from: drain.at, to: main.at };
        ways.extend(group.iter().map(to_main));
        let others = poles.take_while(|pole| pole.limited == main.limited);
        ways.extend(others.map(|pole| Passage {
            limit: largest.limit.least(pole.first),
            of: largest.of,
            from: main.at,
            to: pole.at,
        }));
    }
    ways
}

impl Grounds<'_> {
    fn is_ground(&self, cluster: GroupId) -> bool {
        self.ground[cluster]
    }

    fn has(&self, point: PointId) -> bool {
        self.is_ground(self.clusters.of(point))
    }

    fn limit(&self, fuse: ElementId) -> Option<Limit> {
        Some(Limit { rating: kind_of(self.network.model(), fuse)?.rating?.value.get(), fuse })
    }

    /// The loads between a string that fuses feed and a ground, each with the largest of the fuses.
    fn drains(&self, feeds: &[Feed], islands: &Components, forest: &Forest) -> Vec<Drain> {
        let mut fed: FxHashMap<GroupId, Limit> = FxHashMap::default();
        for feed in feeds {
            let Some(limit) = self.limit(feed.fuse) else { continue };
            for cluster in feed.fed.iter().flatten() {
                let string = self.strings.of(self.clusters.first(*cluster));
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
        for (_, edge) in self.network.edges().filter(|(_, edge)| edge.role.fails_short()) {
            let Some((of, _)) = edge.element() else { continue };
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
        for (id, edge) in self.network.edges().filter(|(_, edge)| edge.role.drives()) {
            let Some((element, _)) = edge.element() else { continue };
            let limited = !edge.role.drives_without_limit();
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
        let mut below: Vec<(GroupId, EdgeId)> = Vec::new();
        let mut fuses: Vec<(Limit, EdgeId)> = Vec::new();
        for (id, edge) in self.network.edges() {
            if edge.role.drives_without_limit() {
                below.push((self.clusters.of(edge.b), id));
            }
            if let (true, Some((fuse, _))) = (edge.role.is_fuse(), edge.element()) {
                fuses.extend(self.limit(fuse).map(|limit| (limit, id)));
            }
        }
        below.sort_unstable();
        fuses.sort_by(|a, b| b.0.rating.total_cmp(&a.0.rating));
        let mut seen = self.clusters.table(false);
        let mut firsts = FxHashMap::default();
        for (limit, id) in fuses {
            let edge = &self.network[id];
            let mut waiting = vec![self.clusters.of(edge.a), self.clusters.of(edge.b)];
            while let Some(cluster) = waiting.pop() {
                if seen[cluster] || self.is_ground(cluster) {
                    continue;
                }
                seen[cluster] = true;
                let first = below.partition_point(|(of, _)| *of < cluster);
                for (_, source) in below.iter().skip(first).take_while(|(of, _)| *of == cluster) {
                    let edge = &self.network[*source];
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
    fn leads(&self, poles: &[Pole], forest: &Forest) -> Vec<Passage> {
        let mut chassis: FxHashMap<PointId, PointId> = FxHashMap::default();
        for (_, edge) in self.network.edges() {
            if edge.role == EdgeRole::Metal(MetalKind::Chassis) && self.has(edge.a) {
                chassis.entry(forest.tree(edge.a)).or_insert(edge.a);
            }
        }
        let lead = |pole: &Pole| {
            Some(Passage { limit: pole.first?, of: pole.of, from: pole.at, to: *chassis.get(&forest.tree(pole.at))? })
        };
        poles.iter().filter_map(lead).collect()
    }
}
