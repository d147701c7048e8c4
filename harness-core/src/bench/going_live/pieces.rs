//! The pieces of a vehicle that nothing joins, whatever is switched: a trailer that is not hitched, several machines in one design; and which
//! of its points are of class B.

use crate::{facts::Facts, model::PointId};
use petgraph::unionfind::UnionFind;

/// For each point the piece that it belongs to.
pub(super) struct Pieces(Vec<u32>);

impl Pieces {
    /// Cost: a pass over the edges and the elements.
    pub(super) fn new(facts: &Facts) -> Self {
        let (model, network) = (facts.model(), facts.network());
        let mut joined: UnionFind<usize> = UnionFind::new(network.point_count());
        for (_, edge) in network.edges() {
            joined.union(edge.a.index(), edge.b.index());
        }
        // A coil and its contact, the two sides of a converter.
        for (_, element) in model.elements() {
            for pair in element.points.windows(2) {
                if let [one, other] = pair {
                    joined.union(one.index(), other.index());
                }
            }
        }
        Self(joined.into_labeling().into_iter().map(|label| label as u32).collect())
    }

    /// The piece of a point.
    pub(super) fn of(&self, point: PointId) -> u32 {
        self.0.get(point.index()).copied().unwrap_or_default()
    }
}

/// Whether a point is of class B; one of which no domain is known is not.
pub(super) fn is_class_b(facts: &Facts, point: PointId) -> bool {
    facts.electrical().domains().of(point).is_some_and(|domain| facts.model()[domain].is_class_b())
}
