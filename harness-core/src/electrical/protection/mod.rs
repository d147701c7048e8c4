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
mod unfused;

pub use feeds::Feed;
pub use unfused::{LeadIn, Run, Unfused};

use crate::{
    model::{ElementId, ElementKind, Model, PointId},
    network::{Components, Edge, EdgeId, EdgeKind, Network, Terminal},
};

/// Which fuse sees what.
#[derive(Debug, Default)]
pub struct Protection {
    clusters: Components,
    strings: Strings,
    ground: Vec<bool>,
    feeds: Vec<Feed>,
    unfused: Vec<Unfused>,
}

impl Protection {
    /// The cluster of a point: all that a short there would short.
    #[must_use]
    pub fn cluster(&self, point: PointId) -> u32 {
        self.clusters.of(point)
    }

    /// The points of a cluster.
    #[must_use]
    pub fn members(&self, cluster: u32) -> &[PointId] {
        self.clusters.members(cluster)
    }

    /// Whether a cluster is the ground of a source.
    #[must_use]
    pub fn is_ground(&self, cluster: u32) -> bool {
        self.ground.get(cluster as usize).copied().unwrap_or(false)
    }

    /// The string of a point: its cluster with all that sources without a limit join to it, past no fuse. What a fuse
    /// beside a source protects, it protects behind that source too.
    #[must_use]
    pub fn string(&self, point: PointId) -> u32 {
        self.strings.of(point)
    }

    /// Whether a string reaches a ground past no fuse.
    #[must_use]
    pub fn is_grounded(&self, string: u32) -> bool {
        self.strings.is_grounded(string)
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
}

/// What an edge is to a fault current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Lets it through.
    Conductor,
    /// Opens.
    Fuse(ElementId),
    /// Drives it, from its first point to its second.
    Source {
        element: ElementId,
        /// Delivers no more than its limit.
        limited: bool,
    },
    /// Holds it back.
    Load,
}

fn part(model: &Model, edge: &Edge) -> Part {
    let EdgeKind::Element(element, terminal) = edge.kind else { return Part::Conductor };
    let Some(item) = model.element(element) else { return Part::Load };
    match (&item.kind, terminal) {
        (ElementKind::Source { limit, .. }, _) => Part::Source { element, limited: limit.is_some() },
        (ElementKind::Converter { limit, .. }, Terminal::Output) => Part::Source { element, limited: limit.is_some() },
        (ElementKind::Fuse { .. }, _) => Part::Fuse(element),
        (_, Terminal::Bar | Terminal::Make | Terminal::Break) => Part::Conductor,
        (ElementKind::Switch { .. } | ElementKind::Disconnect { .. } | ElementKind::Interlock { .. }, _) => Part::Conductor,
        (ElementKind::Diode(_), _) => Part::Conductor,
        _ => Part::Load,
    }
}

/// Finds which fuse sees what.
#[must_use]
pub fn protection(model: &Model, network: &Network) -> Protection {
    let parts: Vec<Part> = network.edges().map(|(_, edge)| part(model, edge)).collect();
    let part_of = |id: EdgeId| parts.get(id.index()).copied().unwrap_or(Part::Load);
    let clusters = network.components(|id, _| part_of(id) == Part::Conductor);
    let ground = grounds(network, &clusters, &parts);
    let strings = Strings::new(network, &clusters, &ground, &parts);
    let feeds = feeds::feeds(network, &clusters, &ground, &parts);
    let unfused = unfused::unfused(model, network, &clusters, &strings, &ground, &parts);
    Protection { clusters, strings, ground, feeds, unfused }
}

/// Clusters that sources join, past no fuse.
#[derive(Debug, Default)]
struct Strings {
    parts: Components,
    grounded: Vec<bool>,
}

impl Strings {
    fn new(network: &Network, clusters: &Components, ground: &[bool], parts: &[Part]) -> Self {
        // A source with a limit never delivers more than that: it makes no string.
        let joined = network
            .components(|id, _| matches!(parts.get(id.index()), Some(Part::Conductor | Part::Source { limited: false, .. })));
        let mut grounded = vec![false; joined.len()];
        for cluster in 0..clusters.len() as u32 {
            if ground.get(cluster as usize).copied().unwrap_or(false) {
                let number = clusters.members(cluster).first().map_or(u32::MAX, |point| joined.of(*point));
                if let Some(slot) = grounded.get_mut(number as usize) {
                    *slot = true;
                }
            }
        }
        Self { parts: joined, grounded }
    }

    fn of(&self, point: PointId) -> u32 {
        self.parts.of(point)
    }

    fn is_grounded(&self, string: u32) -> bool {
        self.grounded.get(string as usize).copied().unwrap_or(false)
    }
}

/// Marks the clusters that hold, fuses taken as closed, a negative pole and no positive one.
fn grounds(network: &Network, clusters: &Components, parts: &[Part]) -> Vec<bool> {
    let wide = network.components(|id, _| matches!(parts.get(id.index()), Some(Part::Conductor | Part::Fuse(_))));
    let mut negative = vec![false; wide.len()];
    let mut positive = vec![false; wide.len()];
    let mark = |marks: &mut Vec<bool>, point: PointId| {
        if let Some(slot) = marks.get_mut(wide.of(point) as usize) {
            *slot = true;
        }
    };
    for ((_, edge), part) in network.edges().zip(parts) {
        if let Part::Source { .. } = part {
            mark(&mut negative, edge.a);
            mark(&mut positive, edge.b);
        }
    }
    let is = |marks: &[bool], number: u32| marks.get(number as usize).copied().unwrap_or(false);
    (0..clusters.len() as u32)
        .map(|cluster| {
            let number = clusters.members(cluster).first().map_or(u32::MAX, |point| wide.of(*point));
            is(&negative, number) && !is(&positive, number)
        })
        .collect()
}
