//! What is at the grounds: loads that fuses feed, negative poles of sources, and the conductors between them.

use super::{ClusterId, Clusters, Feed, SectionId, Sections, diodes, forest::Forest};
use crate::{
    arena::IdVec,
    electrical::{alternatives::Closure, fuses::fuse::kind_of},
    model::{ElementId, ModeSet, PointId},
    network::{Components, EdgeId, EdgeKind, GroupId, Network},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

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
    pub(super) limit: Limit,
    pub(super) of: ElementId,
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

impl<'a> Search<'a> {
    pub(super) fn new(network: &'a Network, closure: &Closure, clusters: &'a Clusters, sections: &'a Sections) -> Self {
        let islands = network.components(|id, edge| {
            let joins = closure.conducts(id, edge) || edge.role.drives_without_limit();
            joins && !clusters.grounds(edge.a) && !clusters.grounds(edge.b)
        });
        Self { network, clusters, sections, islands, forest: Forest::over(network, closure, clusters) }
    }

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
    pub(super) fn drains(&self, closure: &Closure, feeds: &[Feed]) -> Vec<Drain> {
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
    pub(super) fn poles(&self) -> Vec<Pole> {
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
    pub(super) fn leads(&self, poles: &[Pole]) -> Vec<Passage> {
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

/// The modes in which a load may run: all where none has it on.
fn runs_in(modes: Option<ModeSet>) -> ModeSet {
    modes.filter(|modes| *modes != ModeSet::NONE).unwrap_or(ModeSet::ALL)
}
