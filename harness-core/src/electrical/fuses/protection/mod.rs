//! Which fuse sees what: where a fault current can come from, and whether a fuse is on its way.
//!
//! Owns the question of protection as far as it is one of who is joined to whom; the figures (ratings, capacities,
//! limits) are the rules'. The idea: leave out fuses, sources and loads, and what is still joined is a *cluster*; a
//! short anywhere in a cluster is a short of the whole cluster. Fuses then join clusters, sources too: clusters with the sources
//! between them are a *section*. Some clusters are
//! *grounds*: the negative poles from which no source goes further down. A short is a joint between a cluster and a
//! ground, so a cluster is unprotected if it reaches a ground through sources alone, past no fuse.
//!
//! Switches, contactors and disconnects count as closed: they are, in some mode. What is never closed together is looked at one
//! [closure](Closure) after the other, each a *layer* of its own; what is so in one of them counts. Resistors part clusters as loads do.
//! Cost: a few passes over the edges and one walk over the fuses for each layer.

mod common_returns;
mod cuts;
mod diodes;
mod feeds;
mod forest;
mod grounds;
mod lines;
mod returns;
mod sections;
pub mod supply;
pub mod unfused;

pub use feeds::Feed;
pub use lines::Line;
pub use returns::Return;
pub use unfused::{LeadIn, Run, Unfused};

use crate::{
    arena::ids,
    electrical::alternatives::{Alternatives, Closure, possible::Possible},
    model::{ElementId, PointId, WireId},
    network::{EdgeId, GroupId, Network},
    vocabulary::Role,
};
use cuts::Cuts;
use rustc_hash::FxHashSet;
use sections::{Clusters, Sections};

ids! {
    /// A cluster: all that a short at one of its points would short.
    ClusterId;
    /// A section: clusters with the sources without a limit that join them, past no fuse.
    SectionId;
}

/// Which fuse sees what.
#[derive(Debug, Default)]
pub struct Protection {
    /// One for each closure.
    layers: Vec<Layer>,
    feeds: Vec<Feed>,
    unfused: Vec<Unfused>,
    /// The clusters that a source feeds past no fuse, sorted.
    bare: Vec<ClusterId>,
    returns: Vec<Return>,
    /// Wires by the section that each is in, sorted.
    wires: Vec<(SectionId, WireId)>,
    circles: Cuts,
    reached: diodes::Reached,
}

/// What is joined in one closure. The numbers of its clusters and sections follow those of the layers before it.
#[derive(Debug)]
struct Layer {
    clusters: Clusters,
    sections: Sections,
    first_cluster: u32,
    first_section: u32,
}

impl Layer {
    fn cluster(&self, point: PointId) -> ClusterId {
        self.outside(self.clusters.of(point))
    }

    fn section(&self, point: PointId) -> SectionId {
        SectionId(self.first_section + self.sections.of(point).0)
    }

    /// The number by which others know a cluster of the layer.
    fn outside(&self, own: ClusterId) -> ClusterId {
        ClusterId(self.first_cluster + own.0)
    }

    fn own_section(&self, section: SectionId) -> SectionId {
        SectionId(section.0 - self.first_section)
    }

    fn own_cluster(&self, cluster: ClusterId) -> ClusterId {
        ClusterId(cluster.0 - self.first_cluster)
    }
}

impl Protection {
    /// The cluster of a point: all that a short there would short. One of them, where what is never closed together makes several.
    #[must_use]
    pub fn cluster(&self, point: PointId) -> ClusterId {
        self.layers.first().map_or(ClusterId(0), |layer| layer.cluster(point))
    }

    /// Whether a point is in the ground of a source, in every closure.
    #[must_use]
    pub fn grounds(&self, point: PointId) -> bool {
        self.layers.iter().all(|layer| layer.clusters.grounds(point))
    }

    /// Whether a short at one point would short the other too, in some closure.
    #[must_use]
    pub fn share_cluster(&self, one: PointId, other: PointId) -> bool {
        self.layers.iter().any(|layer| layer.clusters.of(one) == layer.clusters.of(other))
    }

    /// Whether a point is in a cluster, which may be of any closure.
    #[must_use]
    pub fn holds(&self, cluster: ClusterId, point: PointId) -> bool {
        self.layer_of_cluster(cluster).is_some_and(|layer| layer.cluster(point) == cluster)
    }

    /// The points of a cluster; at least one.
    #[must_use]
    pub fn members(&self, cluster: ClusterId) -> &[PointId] {
        self.layer_of_cluster(cluster).map_or(&[], |layer| layer.clusters.points.members(GroupId(layer.own_cluster(cluster).0)))
    }

    /// Whether two fuses are in series with nothing between: every current through one passes the other, so that it does not matter
    /// which of them opens.
    #[must_use]
    pub fn in_series(&self, one: EdgeId, other: EdgeId) -> bool {
        self.circles.in_series(one.index(), other.index())
    }

    /// The points of a section; at least one.
    #[must_use]
    pub fn points_of_section(&self, section: SectionId) -> &[PointId] {
        let layer = self.layer_of_section(section).and_then(|at| self.layers.get(at));
        layer.map_or(&[], |layer| layer.sections.points.members(GroupId(section.0 - layer.first_section)))
    }

    /// The closure that a section is of, by its place among the closures.
    fn layer_of_section(&self, section: SectionId) -> Option<usize> {
        self.layers.partition_point(|layer| layer.first_section <= section.0).checked_sub(1)
    }

    /// The section of a point in the closure of a cluster.
    fn section_beside(&self, cluster: ClusterId, point: PointId) -> Option<SectionId> {
        Some(self.layer_of_cluster(cluster)?.section(point))
    }

    /// The sections of a point, one for each closure in which it is not in a ground.
    fn sections_above_ground(&self, point: PointId) -> impl Iterator<Item = SectionId> {
        self.layers.iter().filter(move |layer| !layer.clusters.grounds(point)).map(move |layer| layer.section(point))
    }

    /// Whether a point is in the ground of a source in one closure, given by its place among the closures.
    fn grounds_in(&self, layer: usize, point: PointId) -> bool {
        self.layers.get(layer).is_some_and(|layer| layer.clusters.grounds(point))
    }

    /// Whether a cluster is the ground of a source.
    #[must_use]
    pub fn is_ground(&self, cluster: ClusterId) -> bool {
        self.layer_of_cluster(cluster).is_some_and(|layer| layer.clusters.ground[layer.own_cluster(cluster)])
    }

    /// The section of a point: its cluster with all that sources without a limit join to it, past no fuse. What a fuse
    /// beside a source protects, it protects behind that source too. One of them, where what is never closed together makes several.
    #[must_use]
    pub fn section(&self, point: PointId) -> SectionId {
        self.layers.first().map_or(SectionId(0), |layer| layer.section(point))
    }

    /// The sections of a point, one for each closure.
    pub fn sections_of(&self, point: PointId) -> impl Iterator<Item = SectionId> {
        self.layers.iter().map(move |layer| layer.section(point))
    }

    /// Whether a section reaches a ground past no fuse.
    #[must_use]
    pub fn is_grounded(&self, section: SectionId) -> bool {
        let layer = self.layer_of_section(section).and_then(|at| self.layers.get(at));
        layer.is_some_and(|layer| layer.sections.grounded[SectionId(section.0 - layer.first_section)])
    }

    /// The points of a section that sources reach past no fuse and no diode that blocks; `None` where that is not known to be less
    /// than all.
    fn bare_points(&self, section: SectionId) -> Option<&FxHashSet<PointId>> {
        self.reached.bare(section)
    }

    /// Whether a diode keeps the current of some source or fuse from a part of a section.
    #[must_use]
    pub fn has_diode(&self, fuse: ElementId, section: SectionId) -> bool {
        self.reached.bare(section).is_some() || self.reached.knows(fuse, section)
    }

    /// Whether a point of a section that a fuse feeds goes by this fuse: no diode keeps its current from it, and no source feeds it past
    /// no fuse.
    #[must_use]
    pub fn goes_by(&self, fuse: ElementId, section: SectionId, point: PointId) -> bool {
        self.reached.is_reached(fuse, section, point)
            && (!self.is_grounded(section) || self.reached.bare(section).is_some_and(|bare| !bare.contains(&point)))
    }

    /// All wires with the section that each is in, sorted by section and then in the order written; once for each closure.
    #[must_use]
    pub fn wires(&self) -> &[(SectionId, WireId)] {
        &self.wires
    }

    /// The wires of a section, in the order written.
    pub fn wires_of(&self, section: SectionId) -> impl Iterator<Item = WireId> {
        let first = self.wires.partition_point(|(of, _)| *of < section);
        self.wires.iter().skip(first).take_while(move |(of, _)| *of == section).map(|(_, wire)| *wire)
    }

    /// The section that holds a cluster.
    #[must_use]
    pub fn section_of(&self, cluster: ClusterId) -> Option<SectionId> {
        let layer = self.layer_of_cluster(cluster)?;
        Some(SectionId(layer.first_section + layer.sections.by_cluster[layer.own_cluster(cluster)].0))
    }

    /// The wires that a fuse feeds, in the order written.
    #[must_use]
    pub fn wires_behind(&self, network: &Network, feed: &Feed) -> Vec<WireId> {
        let model = network.model();
        let goes_by = |section: SectionId, wire: WireId| {
            let item = &model[wire];
            item.from.or(item.to).is_some_and(|end| self.goes_by(feed.fuse, section, end))
        };
        let of = |section: SectionId| self.wires_of(section).filter(move |wire| goes_by(section, *wire));
        let mut wires: Vec<WireId> = self.fed(feed).flat_map(of).collect();
        wires.sort_unstable();
        wires.dedup();
        wires
    }

    /// The sections that a fuse feeds. One that reaches its ground past no fuse is unprotected whatever this fuse does, but for what is
    /// behind a diode that blocks.
    pub fn fed<'a>(&'a self, feed: &'a Feed) -> impl Iterator<Item = SectionId> {
        let clusters = feed.fed.iter().copied().filter(|cluster| !self.is_ground(*cluster));
        let sections = clusters.filter_map(|cluster| self.section_of(cluster));
        sections.filter(|section| !self.is_grounded(*section) || self.reached.bare(*section).is_some())
    }

    /// The fuses with the clusters that they feed, in the order written.
    #[must_use]
    pub fn feeds(&self) -> &[Feed] {
        &self.feeds
    }

    /// Whether a source feeds a point past no fuse, in some closure.
    #[must_use]
    pub fn is_unfused(&self, point: PointId) -> bool {
        self.layers.iter().any(|layer| self.bare.binary_search(&layer.cluster(point)).is_ok())
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

    fn layer_of_cluster(&self, cluster: ClusterId) -> Option<&Layer> {
        let at = self.layers.partition_point(|layer| layer.first_cluster <= cluster.0);
        at.checked_sub(1).and_then(|at| self.layers.get(at))
    }

    /// Adds what is so in one closure.
    fn add(&mut self, network: &Network, closure: &Closure, possible: &Possible) {
        let (mut first_cluster, mut first_section) = (0, 0);
        if let Some(last) = self.layers.last() {
            first_cluster = last.first_cluster + last.clusters.ground.len() as u32;
            first_section = last.first_section + last.sections.grounded.len() as u32;
        }
        let clusters = Clusters::new(network, closure);
        let sections = Sections::new(network, closure, &clusters);
        let feeds = feeds::feeds(network, &clusters);
        self.returns.extend(returns::returns(network, closure, &clusters, &sections, &feeds));
        for found in unfused::unfused(network, closure, possible, &clusters, &sections) {
            self.bare.push(ClusterId(first_cluster + clusters.of(found.pole).0));
            match self.unfused.iter_mut().find(|known| known.source == found.source && known.pole == found.pole) {
                Some(known) => known.merge(found),
                None => self.unfused.push(found),
            }
        }
        let layer = Layer { clusters, sections, first_cluster, first_section };
        self.reached.add(network, closure, &layer, &feeds);
        // A wire without an end is in no section.
        let wires = network.model().wires().filter_map(|(id, wire)| Some((layer.section(wire.from.or(wire.to)?), id)));
        self.wires.extend(wires);
        let fed = feeds.into_iter().map(|feed| Feed { fed: feed.fed.iter().map(|own| layer.outside(*own)).collect(), ..feed });
        if self.layers.is_empty() {
            self.feeds = fed.collect();
        } else {
            // Each layer has the same fuses in the same order.
            for (known, more) in self.feeds.iter_mut().zip(fed) {
                known.fed.extend(more.fed);
            }
        }
        self.layers.push(layer);
    }
}

/// Finds which fuse sees what.
#[must_use]
pub fn protection(network: &Network, alternatives: &Alternatives, possible: &Possible) -> Protection {
    let mut found = Protection::default();
    for closure in alternatives.closures() {
        found.add(network, closure, possible);
    }
    found.circles = circles(network);
    found.wires.sort_unstable();
    found.bare.sort_unstable();
    if alternatives.closures().len() > 1 {
        // Of the fuses whose current a return may carry in one closure or another, the largest decides.
        found
            .returns
            .sort_by(|one, other| one.wire.cmp(&other.wire).then(other.amps.total_cmp(one.amps)).then(one.fuse.cmp(&other.fuse)));
        found.returns.dedup_by_key(|one| one.wire);
        found.returns.sort_by_key(|one| (one.fuse, one.wire));
    }
    found
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
