//! Which fuse sees what: where a fault current can come from, and whether a fuse lies on its way.
//!
//! Owns the question of protection as far as it is one of who is joined to whom; the figures (ratings, capacities,
//! limits) are the rules'. The idea: leave out fuses, sources and loads, and what is still joined is a *cluster*; a
//! short anywhere in a cluster is a short of the whole cluster. Fuses then join clusters, sources too: clusters with the sources
//! between them are a *section*. Some clusters are
//! *grounds*: the negative poles from which no source goes further down. A short is a joint between a cluster and a
//! ground, so a cluster is unprotected if it reaches a ground through sources alone, past no fuse.
//!
//! Switches, contactors and disconnects count as closed: they are, in some mode. Resistors part clusters as loads do.
//! Cost: a few passes over the edges and one walk over the fuses.

mod cuts;
mod feeds;
mod forest;
mod lines;
mod returns;
pub mod supply;
mod unfused;

pub use feeds::Feed;
pub use lines::Line;
pub use returns::Return;
pub use unfused::{LeadIn, Run, Unfused};

use crate::{
    arena::{IdVec, ids},
    model::{ElementId, PointId, WireId},
    network::{Components, EdgeId, GroupId, Network},
    vocabulary::Role,
};
use cuts::Cuts;

ids! {
    /// A cluster: all that a short at one of its points would short.
    ClusterId;
    /// A section: clusters with the sources without a limit that join them, past no fuse.
    SectionId;
}

/// Which fuse sees what.
#[derive(Debug, Default)]
pub struct Protection {
    clusters: Clusters,
    sections: Sections,
    feeds: Vec<Feed>,
    unfused: Vec<Unfused>,
    returns: Vec<Return>,
    /// Wires by the section that each lies in, sorted.
    wires: Vec<(SectionId, WireId)>,
    circles: Cuts,
}

impl Protection {
    /// The cluster of a point: all that a short there would short.
    #[must_use]
    pub fn cluster(&self, point: PointId) -> ClusterId {
        self.clusters.of(point)
    }

    /// The points of a cluster; at least one.
    #[must_use]
    pub fn members(&self, cluster: ClusterId) -> &[PointId] {
        self.clusters.points.members(GroupId(cluster.0))
    }

    /// Whether two fuses are in series with nothing between: every current through one passes the other, so that it does not matter
    /// which of them opens.
    #[must_use]
    pub fn in_series(&self, one: EdgeId, other: EdgeId) -> bool {
        self.circles.in_series(one.index(), other.index())
    }

    /// Whether a cluster is the ground of a source.
    #[must_use]
    pub fn is_ground(&self, cluster: ClusterId) -> bool {
        self.clusters.ground[cluster]
    }

    /// The section of a point: its cluster with all that sources without a limit join to it, past no fuse. What a fuse
    /// beside a source protects, it protects behind that source too.
    #[must_use]
    pub fn section(&self, point: PointId) -> SectionId {
        self.sections.of(point)
    }

    /// The points of a section; at least one.
    #[must_use]
    pub fn points_of_section(&self, section: SectionId) -> &[PointId] {
        self.sections.points.members(GroupId(section.0))
    }

    /// Whether a section reaches a ground past no fuse.
    #[must_use]
    pub fn is_grounded(&self, section: SectionId) -> bool {
        self.sections.grounded[section]
    }

    /// All wires with the section that each lies in, sorted by section and then in the order written.
    #[must_use]
    pub fn wires(&self) -> &[(SectionId, WireId)] {
        &self.wires
    }

    /// The wires of a section, in the order written.
    pub fn wires_of(&self, section: SectionId) -> impl Iterator<Item = WireId> {
        let first = self.wires.partition_point(|(of, _)| *of < section);
        self.wires.iter().skip(first).take_while(move |(of, _)| *of == section).map(|(_, wire)| *wire)
    }

    /// The sections that a fuse feeds. One that reaches its ground past no fuse is unprotected whatever this fuse does.
    pub fn fed(&self, feed: &Feed) -> impl Iterator<Item = SectionId> {
        let clusters = feed.fed.into_iter().flatten().filter(|cluster| !self.is_ground(*cluster));
        clusters.map(|cluster| self.sections.by_cluster[cluster]).filter(|section| !self.is_grounded(*section))
    }

    /// The fuses with the clusters that they feed, in the order written.
    #[must_use]
    pub fn feeds(&self) -> &[Feed] {
        &self.feeds
    }

    /// The clusters that a source feeds past no fuse.
    #[must_use]
    pub fn unfused(&self) -> &[Unfused] {
        &self.unfused
    }

    /// The conductors that lead back what `fuse` lets through and no larger fuse does.
    #[must_use]
    pub fn returns(&self, fuse: ElementId) -> &[Return] {
        let first = self.returns.partition_point(|found| found.fuse < fuse);
        let end = self.returns.partition_point(|found| found.fuse <= fuse);
        // Both ends are places of this list.
        self.returns.get(first..end).unwrap_or_default()
    }
}

/// Finds which fuse sees what.
#[must_use]
pub fn protection(network: &Network) -> Protection {
    let clusters = Clusters::new(network);
    let sections = Sections::new(network, &clusters);
    let feeds = feeds::feeds(network, &clusters);
    let unfused = unfused::unfused(network, &clusters, &sections);
    let returns = returns::returns(network, &clusters, &sections, &feeds);
    // A wire without an end is in no section.
    let wires = network.model().wires().filter_map(|(id, wire)| Some((sections.of(wire.from.or(wire.to)?), id)));
    let mut wires: Vec<(SectionId, WireId)> = wires.collect();
    wires.sort_unstable();
    let circles = circles(network);
    Protection { clusters, sections, feeds, unfused, returns, wires, circles }
}

/// The circles on which current may flow: over every edge, and through every device of which only the pins are known, which takes its
/// current to a return.
fn circles(network: &Network) -> Cuts {
    let model = network.model();
    let mut pairs: Vec<(usize, usize)> = network.edges().map(|(_, edge)| (edge.a.index(), edge.b.index())).collect();
    // One node more: where all that is opaque gives its current back.
    let beyond = network.point_count();
    for (id, point) in model.points() {
        let role = point.pin.and_then(|pin| model[pin].role).map(|role| role.value);
        let is_opaque = || network.around(id).all(|(_, edge, _)| edge.element().is_none());
        if role.is_some_and(|role| role == Role::Supply || role.takes_back()) && is_opaque() {
            pairs.push((id.index(), beyond));
        }
    }
    Cuts::new(beyond + 1, &pairs)
}

fn points_of(network: &Network) -> impl Iterator<Item = PointId> {
    (0..network.point_count()).map(PointId::from_index)
}

/// What conductors join, past no fuse, source or load.
#[derive(Debug, Default)]
struct Clusters {
    points: Components,
    /// Whether each holds, fuses taken as closed, a negative pole and no positive one.
    ground: IdVec<ClusterId, bool>,
}

impl Clusters {
    fn new(network: &Network) -> Self {
        let points = network.components(|_, edge| edge.role.passes_faults());
        let wide = network.components(|_, edge| edge.role.conducts_when_closed());
        let mut poles = wide.table([false; 2]);
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            let [_, positive] = &mut poles[wide.of(edge.b)];
            *positive = true;
            let [negative, _] = &mut poles[wide.of(edge.a)];
            *negative = true;
        }
        let mut ground = IdVec::of(false, points.len());
        for point in points_of(network) {
            ground[ClusterId(points.of(point).0)] = poles[wide.of(point)] == [true, false];
        }
        Self { points, ground }
    }

    fn of(&self, point: PointId) -> ClusterId {
        ClusterId(self.points.of(point).0)
    }

    /// Whether a point lies in a ground.
    fn grounds(&self, point: PointId) -> bool {
        self.ground[self.of(point)]
    }
}

/// Clusters that sources join, past no fuse.
#[derive(Debug, Default)]
struct Sections {
    points: Components,
    by_cluster: IdVec<ClusterId, SectionId>,
    grounded: IdVec<SectionId, bool>,
}

impl Sections {
    fn new(network: &Network, clusters: &Clusters) -> Self {
        // A source with a limit never delivers more than that: it joins nothing.
        let points = network.components(|_, edge| edge.role.passes_faults() || edge.role.drives_without_limit());
        let mut by_cluster = IdVec::of(SectionId(0), clusters.ground.len());
        let mut grounded = IdVec::of(false, points.len());
        for point in points_of(network) {
            let section = SectionId(points.of(point).0);
            by_cluster[clusters.of(point)] = section;
            if clusters.grounds(point) {
                grounded[section] = true;
            }
        }
        Self { points, by_cluster, grounded }
    }

    fn of(&self, point: PointId) -> SectionId {
        SectionId(self.points.of(point).0)
    }
}
