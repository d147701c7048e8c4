//! Which fuse sees what: where a fault current can come from, and whether a fuse lies on its way.
//!
//! Owns the question of protection as far as it is one of who is joined to whom; the figures (ratings, capacities,
//! limits) are the rules'. The idea: leave out fuses, sources and loads, and what is still joined is a *cluster*; a
//! short anywhere in a cluster is a short of the whole cluster. Fuses then join clusters, sources too. Some clusters are
//! *grounds*: the negative poles from which no source goes further down. A short is a joint between a cluster and a
//! ground, so a cluster is unprotected if it reaches a ground through sources alone, past no fuse.
//!
//! Switches, contactors and disconnects count as closed: they are, in some mode. Resistors part clusters as loads do.
//! Cost: a few passes over the edges and one walk over the fuses.

mod feeds;
mod returns;
mod unfused;

pub use feeds::Feed;
pub use returns::Return;
pub use unfused::{LeadIn, Run, Unfused};

use crate::{
    arena::IdVec,
    model::{ElementId, PointId, WireId},
    network::{Components, GroupId, Network},
};

/// Which fuse sees what.
#[derive(Debug, Default)]
pub struct Protection {
    clusters: Components,
    strings: Strings,
    ground: IdVec<GroupId, bool>,
    feeds: Vec<Feed>,
    unfused: Vec<Unfused>,
    returns: Vec<Return>,
    /// Wires by the string that each lies in, sorted.
    wires: Vec<(GroupId, WireId)>,
}

impl Protection {
    /// The cluster of a point: all that a short there would short.
    #[must_use]
    pub fn cluster(&self, point: PointId) -> GroupId {
        self.clusters.of(point)
    }

    /// The points of a cluster.
    #[must_use]
    pub fn members(&self, cluster: GroupId) -> &[PointId] {
        self.clusters.members(cluster)
    }

    /// Whether a cluster is the ground of a source.
    #[must_use]
    pub fn is_ground(&self, cluster: GroupId) -> bool {
        self.ground[cluster]
    }

    /// The string of a point: its cluster with all that sources without a limit join to it, past no fuse. What a fuse
    /// beside a source protects, it protects behind that source too.
    #[must_use]
    pub fn string(&self, point: PointId) -> GroupId {
        self.strings.of(point)
    }

    /// Whether a string reaches a ground past no fuse.
    #[must_use]
    pub fn is_grounded(&self, string: GroupId) -> bool {
        self.strings.is_grounded(string)
    }

    /// All wires with the string that each lies in, sorted by string and then in the order written.
    #[must_use]
    pub fn wires(&self) -> &[(GroupId, WireId)] {
        &self.wires
    }

    /// The wires of a string, in the order written.
    pub fn wires_of(&self, string: GroupId) -> impl Iterator<Item = WireId> {
        let first = self.wires.partition_point(|(of, _)| *of < string);
        self.wires.iter().skip(first).take_while(move |(of, _)| *of == string).map(|(_, wire)| *wire)
    }

    /// The strings that a fuse feeds. One that reaches its ground past no fuse is unprotected whatever this fuse does.
    pub fn fed(&self, feed: &Feed) -> impl Iterator<Item = GroupId> {
        let clusters = feed.fed.into_iter().flatten().filter(|cluster| !self.is_ground(*cluster));
        let strings = clusters.map(|cluster| self.string(self.clusters.first(cluster)));
        strings.filter(|string| !self.is_grounded(*string))
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
        self.returns.get(first..end).unwrap_or_default()
    }
}

/// Finds which fuse sees what.
#[must_use]
pub fn protection(network: &Network) -> Protection {
    let model = network.model();
    let clusters = network.components(|_, edge| edge.role.passes_faults());
    let ground = grounds(network, &clusters);
    let strings = Strings::new(network, &clusters, &ground);
    let feeds = feeds::feeds(network, &clusters, &ground);
    let unfused = unfused::unfused(network, &clusters, &strings, &ground);
    let grounds = returns::Grounds { network, clusters: &clusters, strings: &strings, ground: &ground };
    let returns = returns::returns(&grounds, &feeds);
    let mut wires: Vec<(GroupId, WireId)> =
        model.wires().filter_map(|(id, wire)| Some((strings.of(wire.from.or(wire.to)?), id))).collect();
    wires.sort_unstable();
    Protection { clusters, strings, ground, feeds, unfused, returns, wires }
}

/// Clusters that sources join, past no fuse.
#[derive(Debug, Default)]
struct Strings {
    joined: Components,
    grounded: IdVec<GroupId, bool>,
}

impl Strings {
    fn new(network: &Network, clusters: &Components, ground: &IdVec<GroupId, bool>) -> Self {
        // A source with a limit never delivers more than that: it makes no string.
        let joined = network.components(|_, edge| edge.role.passes_faults() || edge.role.drives_without_limit());
        let mut grounded = joined.table(false);
        for (cluster, _) in ground.iter().filter(|(_, is_ground)| **is_ground) {
            grounded[joined.of(clusters.first(cluster))] = true;
        }
        Self { joined, grounded }
    }

    fn of(&self, point: PointId) -> GroupId {
        self.joined.of(point)
    }

    fn is_grounded(&self, string: GroupId) -> bool {
        self.grounded[string]
    }
}

/// Marks the clusters that hold, fuses taken as closed, a negative pole and no positive one.
fn grounds(network: &Network, clusters: &Components) -> IdVec<GroupId, bool> {
    let wide = network.components(|_, edge| edge.role.conducts_when_closed());
    let mut negative = wide.table(false);
    let mut positive = wide.table(false);
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
        negative[wide.of(edge.a)] = true;
        positive[wide.of(edge.b)] = true;
    }
    let is_ground =
        |points: &[PointId]| points.first().is_some_and(|point| negative[wide.of(*point)] && !positive[wide.of(*point)]);
    clusters.iter().map(|(_, points)| is_ground(points)).collect()
}
