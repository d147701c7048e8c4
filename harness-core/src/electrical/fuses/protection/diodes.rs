//! How far a current gets where diodes block it: from anode to cathode alone.

use super::{Feed, Layer, SectionId};
use crate::{
    electrical::alternatives::Closure,
    model::{ElementId, PointId},
    network::{Edge, EdgeRole, Network},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// Fuses of one section beyond this number are taken as reaching all of it.
const MOST: usize = 128;

/// What currents reach in the sections that have a diode; nothing is said of any other.
#[derive(Debug, Default)]
pub(super) struct Reached {
    by_fuse: FxHashMap<(ElementId, SectionId), FxHashSet<PointId>>,
    /// What sources reach past no fuse.
    bare: FxHashMap<SectionId, FxHashSet<PointId>>,
}

impl Reached {
    /// The points of a section that sources reach past no fuse; `None` where that is not known to be less than all.
    pub(super) fn bare(&self, section: SectionId) -> Option<&FxHashSet<PointId>> {
        self.bare.get(&section)
    }

    /// Whether it was looked at how far the current of a fuse gets in a section.
    pub(super) fn knows(&self, fuse: ElementId, section: SectionId) -> bool {
        self.by_fuse.contains_key(&(fuse, section))
    }

    /// Whether the current of a fuse may reach a point of a section that it feeds.
    pub(super) fn is_reached(&self, fuse: ElementId, section: SectionId, point: PointId) -> bool {
        self.by_fuse.get(&(fuse, section)).is_none_or(|reached| reached.contains(&point))
    }

    /// Adds what is so in one closure. Cost: a search of each section with a diode for each fuse that feeds it.
    pub(super) fn add(&mut self, network: &Network, closure: &Closure, layer: &Layer, feeds: &[Feed]) {
        let diodes = network.edges().filter(|(id, edge)| is_diode(edge) && closure.passes_faults(*id, edge));
        let sections: FxHashSet<SectionId> = diodes.map(|(_, edge)| layer.section(edge.a)).collect();
        if sections.is_empty() {
            return;
        }
        let mut starts: FxHashMap<SectionId, Vec<PointId>> = FxHashMap::default();
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives_without_limit()) {
            starts.entry(layer.section(edge.b)).or_default().push(edge.b);
        }
        for (section, starts) in starts.into_iter().filter(|(section, _)| sections.contains(section)) {
            if layer.sections.grounded[layer.own_section(section)] && layer.sections.one_way[layer.own_section(section)] {
                self.bare.insert(section, reach(network, closure, starts));
            }
        }
        let mut counts: FxHashMap<SectionId, usize> = FxHashMap::default();
        for feed in feeds {
            let edge = &network[feed.edge];
            for cluster in feed.fed.iter().filter(|cluster| !layer.clusters.ground[**cluster]) {
                let at = if layer.clusters.of(edge.a) == *cluster { edge.a } else { edge.b };
                let section = layer.section(at);
                let count = counts.entry(section).or_default();
                *count += 1;
                if sections.contains(&section) && *count <= MOST {
                    self.by_fuse.entry((feed.fuse, section)).or_default().extend(reach(network, closure, [at]));
                }
            }
        }
    }
}

/// Whether an edge lets current through in one direction alone.
pub(super) fn is_diode(edge: &Edge) -> bool {
    edge.role == EdgeRole::Diode
}

/// Whether a diode keeps a current that comes from `point` from entering an edge.
pub(super) fn blocks(edge: &Edge, point: PointId) -> bool {
    is_diode(edge) && edge.a != point
}

/// The points that a current from `starts` reaches in a closure, past no fuse and over sources without a limit.
///
/// Cost: linear in what is reached.
pub(super) fn reach(network: &Network, closure: &Closure, starts: impl IntoIterator<Item = PointId>) -> FxHashSet<PointId> {
    let walk = network.walk_along(starts, |point, id, edge| {
        (closure.passes_faults(id, edge) || edge.role.drives_without_limit()) && !blocks(edge, point)
    });
    walk.reached().iter().copied().collect()
}
