//! Which fuse limits the current of a return: what a load passes on, its feed let in.
//!
//! The conductors of a ground form a graph; where it is a tree, every load has one way back to its source's negative pole,
//! and each conductor on it may come to carry what the fuse of the load's feed lets through. A return that several loads
//! share goes by the largest of their fuses. A conductor of which a second way leads round is left out: how they share is a
//! matter of resistance. A source's own lead to the chassis goes by its first fuse, because any bare place of a hot
//! conductor may touch the chassis. What all circuits of a fuse box share is in `common_returns`.

use super::{
    ClusterId, Clusters, Feed, SectionId, Sections,
    common_returns::{common, runs_in},
    diodes,
    forest::Forest,
};
use crate::{
    arena::IdVec,
    electrical::{alternatives::Closure, fuses::fuse::kind_of},
    model::{ElementId, ModeSet, PointId, WireId},
    network::{Components, EdgeId, EdgeKind, GroupId, Network},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// A conductor that leads back what a fuse lets through.
#[derive(Debug, Clone, PartialEq)]
pub struct Return {
    /// The largest fuse whose current it may carry.
    pub fuse: ElementId,
    /// What may flow through it: the rating of the fuse, or what those of `branches` let through together, if that is less.
    pub amps: Ampere,
    /// The fuses of a box of which it is the common return, where they decide.
    pub branches: Vec<ElementId>,
    /// The conductor.
    pub wire: WireId,
    /// The load that passes the current on, the source whose lead it is, or the fuse before the box whose common return it is.
    pub of: ElementId,
}

impl Return {
    /// Whether all circuits of a fuse box go back through it.
    #[must_use]
    pub fn is_common(&self) -> bool {
        self.of == self.fuse
    }
}

/// A current through a ground, with the fuse that limits it.
#[derive(Debug, Clone)]
pub(super) struct Passage {
    pub(super) limit: Limit,
    /// The fuses that decide together, where it is not one.
    pub(super) branches: Vec<ElementId>,
    pub(super) of: ElementId,
    pub(super) from: PointId,
    pub(super) to: PointId,
}

/// A fuse with its rating.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limit {
    pub(super) rating: Ampere,
    pub(super) fuse: ElementId,
}

impl Limit {
    /// The smaller of two fuses that one current passes.
    pub(super) fn least(self, other: Option<Self>) -> Self {
        other.filter(|other| other.rating < self.rating).unwrap_or(self)
    }

    /// The larger of two fuses.
    pub(super) fn larger(self, other: Self) -> Self {
        if other.rating > self.rating { other } else { self }
    }
}

/// A load between what a fuse feeds and a ground.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drain {
    limit: Limit,
    of: ElementId,
    pub(super) at: PointId,
    pub(super) place: Place,
    pub(super) section: SectionId,
    /// Whether it is there to take current: a source takes some only when it fails.
    pub(super) draws: bool,
    /// The modes in which it may.
    pub(super) modes: ModeSet,
}

/// Where current can flow in circles: an island of hot conductors over one tree of a ground, by its first point.
pub(super) type Place = (GroupId, PointId);

/// The negative pole of a source at a ground.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pole {
    pub(super) place: Place,
    pub(super) limited: bool,
    /// The largest fuse that its hot side meets first.
    pub(super) first: Option<Limit>,
    pub(super) at: PointId,
    of: ElementId,
}

/// What the search needs to know of a design.
pub(super) struct Search<'a> {
    pub(super) network: &'a Network,
    clusters: &'a Clusters,
    sections: &'a Sections,
    islands: Components,
    pub(super) forest: Forest,
}

/// Finds for each conductor of a ground the largest fuse whose current it may carry, sorted by fuse.
///
/// Cost: a walk over the grounds, and nearly linear in the loads: the largest fuse goes first, and no conductor is walked
/// twice.
pub(super) fn returns(
    network: &Network,
    closure: &Closure,
    clusters: &Clusters,
    sections: &Sections,
    feeds: &[Feed],
) -> Vec<Return> {
    let islands = network.components(|id, edge| {
        let joins = closure.conducts(id, edge) || edge.role.drives_without_limit();
        joins && !clusters.grounds(edge.a) && !clusters.grounds(edge.b)
    });
    let search = Search { network, clusters, sections, islands, forest: Forest::over(network, closure, clusters) };
    let poles = search.poles();
    let mut ways = search.leads(&poles);
    let drains = search.drains(closure, feeds);
    ways.extend(common(&search, feeds, &drains, &poles));
    ways.extend(to_poles(drains, &poles));
    let mut forest = search.forest;
    // A stable sort: of equal fuses the one that was written first decides.
    ways.sort_by(|a, b| b.limit.rating.total_cmp(a.limit.rating));
    let mut found = Vec::new();
    for way in ways {
        forest.mark(way.from, way.to, |edge| {
            if let Some(wire) = network[edge].wire() {
                let (fuse, amps) = (way.limit.fuse, way.limit.rating);
                found.push(Return { fuse, amps, branches: way.branches.clone(), wire, of: way.of });
            }
        });
    }
    found.sort_by_key(|found| (found.fuse, found.wire));
    found
}

/// The ways from the loads to the poles of their sources.
///
/// Each load goes to the pole that gives most; with that way, the ways between the poles make the ways to all. A source with
/// a limit gives nothing that a fuse would have to end: it counts where there is no other.
fn to_poles(mut drains: Vec<Drain>, poles: &[Pole]) -> Vec<Passage> {
    drains.sort_by(|a, b| a.place.cmp(&b.place).then(b.limit.rating.total_cmp(a.limit.rating)));
    let mut ways = Vec::new();
    for group in drains.chunk_by(|a, b| a.place == b.place) {
        let Some(largest) = group.first() else { continue };
        let first = poles.partition_point(|pole| pole.place < largest.place);
        let mut poles = poles.iter().skip(first).take_while(|pole| pole.place == largest.place);
        let Some(main) = poles.next() else { continue };
        let to_main = |drain: &Drain| {
            let limit = drain.limit.least(main.first);
            Passage { limit, branches: Vec::new(), of: drain.of, from: drain.at, to: main.at }
        };
        ways.extend(group.iter().map(to_main));
        let others = poles.take_while(|pole| pole.limited == main.limited);
        ways.extend(others.map(|pole| Passage {
            limit: largest.limit.least(pole.first),
            branches: Vec::new(),
            of: largest.of,
            from: main.at,
            to: pole.at,
        }));
    }
    ways
}

impl Search<'_> {
    /// The rating of a fuse, which its current does not pass for long; `None` where it has none.
    fn limit(&self, fuse: ElementId) -> Option<Limit> {
        Some(Limit { rating: kind_of(self.network.model(), fuse)?.rating?.value, fuse })
    }

    fn place(&self, hot: PointId, at: PointId) -> Place {
        (self.islands.of(hot), self.forest.tree(at))
    }

    /// Each section that a fuse feeds, the fuse, and the section beyond it.
    pub(super) fn inlets(&self, feeds: &[Feed]) -> impl Iterator<Item = (SectionId, Limit, SectionId)> {
        self.fuses_into(feeds).into_iter().map(|(section, limit, [_, beyond])| (section, limit, self.sections.of(beyond)))
    }

    /// Each section that a fuse feeds, the fuse, and its terminals there and beyond.
    fn fuses_into(&self, feeds: &[Feed]) -> Vec<(SectionId, Limit, [PointId; 2])> {
        let mut found = Vec::new();
        for feed in feeds {
            let Some(limit) = self.limit(feed.fuse) else { continue };
            let edge = &self.network[feed.edge];
            for cluster in &feed.fed {
                let section = self.sections.by_cluster[*cluster];
                if self.clusters.ground[*cluster] || self.sections.grounded[section] {
                    continue;
                }
                let ends = if self.clusters.of(edge.a) == *cluster { [edge.a, edge.b] } else { [edge.b, edge.a] };
                found.push((section, limit, ends));
            }
        }
        found
    }

    /// The fuses that feed each section, the largest first, each with the point at which it does.
    fn fed(&self, feeds: &[Feed]) -> FxHashMap<SectionId, Vec<(Limit, PointId)>> {
        let mut fed: FxHashMap<SectionId, Vec<(Limit, PointId)>> = FxHashMap::default();
        let into = self.fuses_into(feeds);
        // What alone feeds a section, if that is a fuse: with its section beyond.
        let mut only: FxHashMap<SectionId, Option<(Limit, SectionId)>> = FxHashMap::default();
        for (section, limit, [_, beyond]) in &into {
            let feeder = Some((*limit, self.sections.of(*beyond)));
            only.entry(*section).and_modify(|only| *only = None).or_insert(feeder);
        }
        for (_, edge) in self.network.edges().filter(|(_, edge)| edge.role.drives() && !edge.role.drives_without_limit()) {
            only.extend([edge.a, edge.b].map(|pole| (self.sections.of(pole), None)));
        }
        for (section, limit, [at, beyond]) in into {
            fed.entry(section).or_default().push((self.through(limit, self.sections.of(beyond), &only), at));
        }
        // A stable sort: of equal fuses the one that was written first decides.
        fed.values_mut().for_each(|fuses| fuses.sort_by(|a, b| b.0.rating.total_cmp(a.0.rating)));
        fed
    }

    /// The smallest of the fuses in series through which a section is fed: this one, and those before it.
    fn through(&self, limit: Limit, mut before: SectionId, only: &FxHashMap<SectionId, Option<(Limit, SectionId)>>) -> Limit {
        let mut least = limit;
        let mut passed: FxHashSet<SectionId> = FxHashSet::default();
        while let Some((limit, further)) = only.get(&before).copied().flatten().filter(|_| passed.insert(before)) {
            least = least.least(Some(limit));
            before = further;
        }
        least
    }

    /// The loads between a section that fuses feed and a ground, each with the largest of the fuses whose current no diode keeps from it.
    fn drains(&self, closure: &Closure, feeds: &[Feed]) -> Vec<Drain> {
        let fed = self.fed(feeds);
        let diodes = self.network.edges().filter(|(_, edge)| diodes::is_diode(edge));
        let with_diodes: FxHashSet<SectionId> = diodes.map(|(_, edge)| self.sections.of(edge.a)).collect();
        let mut reached: FxHashMap<PointId, FxHashSet<PointId>> = FxHashMap::default();
        let mut drains = Vec::new();
        for (_, edge) in self.network.edges() {
            let Some(of) = edge.element().filter(|_| edge.role.fails_short()) else { continue };
            // A coil of known resistance limits what leads back from it.
            if self.network.model()[of].kind.coil_resistance().is_some() {
                continue;
            }
            let (hot, at) = if self.clusters.grounds(edge.a) { (edge.b, edge.a) } else { (edge.a, edge.b) };
            if self.clusters.grounds(hot) || !self.clusters.grounds(at) {
                continue;
            }
            let section = self.sections.of(hot);
            let is_open = !with_diodes.contains(&section);
            let mut fuses = fed.get(&section).into_iter().flatten();
            let largest = fuses.find(|(_, at)| {
                is_open || reached.entry(*at).or_insert_with(|| diodes::reach(self.network, closure, [*at])).contains(&hot)
            });
            if let Some((limit, _)) = largest {
                let (draws, modes) = (edge.role.draws(), runs_in(self.network.model()[of].kind.modes()));
                drains.push(Drain { limit: *limit, of, at, place: self.place(hot, at), section, draws, modes });
            }
        }
        drains
    }

    /// The poles of sources at a ground by place; of each place the one that gives most first, those with a limit last.
    fn poles(&self) -> Vec<Pole> {
        let firsts = self.firsts();
        let mut poles = Vec::new();
        for (id, edge) in self.network.edges() {
            let Some(of) = edge.element().filter(|_| edge.role.drives()) else { continue };
            if self.clusters.grounds(edge.a) && !self.clusters.grounds(edge.b) {
                let limited = !edge.role.drives_without_limit();
                poles.push(Pole { place: self.place(edge.b, edge.a), limited, first: firsts.get(&id).copied(), at: edge.a, of });
            }
        }
        let gives = |pole: &Pole| pole.first.map_or(f64::INFINITY, |first| first.rating.get());
        poles.sort_by(|a, b| (a.place, a.limited).cmp(&(b.place, b.limited)).then(gives(b).total_cmp(&gives(a))));
        poles
    }

    /// For the sources at a ground the largest fuse that the hot side meets first, over the sources in series with it.
    fn firsts(&self) -> FxHashMap<EdgeId, Limit> {
        let mut below: IdVec<ClusterId, Vec<EdgeId>> = IdVec::of(Vec::new(), self.clusters.ground.len());
        let mut fuses: Vec<(Limit, EdgeId)> = Vec::new();
        for (id, edge) in self.network.edges() {
            let Some(element) = edge.element() else { continue };
            if edge.role.drives_without_limit() {
                below[self.clusters.of(edge.b)].push(id);
            } else if edge.role.is_fuse() {
                fuses.extend(self.limit(element).map(|limit| (limit, id)));
            }
        }
        fuses.sort_by(|a, b| b.0.rating.total_cmp(a.0.rating));
        let mut seen = IdVec::of(false, self.clusters.ground.len());
        let mut firsts = FxHashMap::default();
        for (limit, id) in fuses {
            let edge = &self.network[id];
            let mut waiting = vec![self.clusters.of(edge.a), self.clusters.of(edge.b)];
            while let Some(cluster) = waiting.pop() {
                if self.clusters.ground[cluster] || std::mem::replace(&mut seen[cluster], true) {
                    continue;
                }
                for source in &below[cluster] {
                    let edge = &self.network[*source];
                    if self.clusters.grounds(edge.a) {
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
    fn leads(&self, poles: &[Pole]) -> Vec<Passage> {
        let mut chassis: FxHashMap<PointId, PointId> = FxHashMap::default();
        for (_, edge) in self.network.edges() {
            if matches!(edge.kind, EdgeKind::Chassis(_)) && self.clusters.grounds(edge.a) {
                chassis.entry(self.forest.tree(edge.a)).or_insert(edge.a);
            }
        }
        let lead = |pole: &Pole| {
            let to = *chassis.get(&self.forest.tree(pole.at))?;
            Some(Passage { limit: pole.first?, branches: Vec::new(), of: pole.of, from: pole.at, to })
        };
        poles.iter().filter_map(lead).collect()
    }
}
