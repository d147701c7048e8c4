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
    model::{ElementId, ElementKind, Model, PointId, WireId},
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
    returns: Vec<Return>,
    /// Wires by the string that each lies in, sorted.
    wires: Vec<(u32, WireId)>,
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

    /// All wires with the string that each lies in, sorted by string and then in the order written.
    #[must_use]
    pub fn wires(&self) -> &[(u32, WireId)] {
        &self.wires
    }

    /// The wires of a string, in the order written.
    pub fn wires_of(&self, string: u32) -> impl Iterator<Item = WireId> {
        let first = self.wires.partition_point(|(of, _)| *of < string);
        self.wires.iter().skip(first).take_while(move |(of, _)| *of == string).map(|(_, wire)| *wire)
    }

    /// The strings that a fuse feeds. One that reaches its ground past no fuse is unprotected whatever this fuse does.
    pub fn fed(&self, feed: &Feed) -> impl Iterator<Item = u32> {
        let clusters = feed.fed.into_iter().flatten().filter(|cluster| !self.is_ground(*cluster));
        let strings = clusters.filter_map(|cluster| Some(self.string(*self.members(cluster).first()?)));
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
pub fn protection(network: &Network) -> Protection {
    let model = network.model();
    let parts: Vec<Part> = network.edges().map(|(_, edge)| part(model, edge)).collect();
    let part_of = |id: EdgeId| parts.get(id.index()).copied().unwrap_or(Part::Load);
    let clusters = network.components(|id, _| part_of(id) == Part::Conductor);
    let ground = grounds(network, &clusters, &parts);
    let strings = Strings::new(network, &clusters, &ground, &parts);
    let feeds = feeds::feeds(network, &clusters, &ground, &parts);
    let unfused = unfused::unfused(network, &clusters, &strings, &ground, &parts);
    let grounds = returns::Grounds { model, network, clusters: &clusters, strings: &strings, ground: &ground, parts: &parts };
    let returns = returns::returns(&grounds, &feeds);
    let mut wires: Vec<(u32, WireId)> =
        model.wires().filter_map(|(id, wire)| Some((strings.of(wire.from.or(wire.to)?), id))).collect();
    wires.sort_unstable();
    Protection { clusters, strings, ground, feeds, unfused, returns, wires }
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
