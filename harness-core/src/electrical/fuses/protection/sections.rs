//! What is joined in one closure: clusters past no fuse, source or load, and the sections that sources make of them.

use super::{ClusterId, SectionId};
use crate::{
    arena::IdVec,
    electrical::alternatives::Closure,
    model::PointId,
    network::{Components, Network},
};

fn points_of(network: &Network) -> impl Iterator<Item = PointId> {
    (0..network.point_count()).map(PointId::from_index)
}

/// What conductors join, past no fuse, source or load.
#[derive(Debug, Default)]
pub(super) struct Clusters {
    pub(super) points: Components,
    /// Whether each holds, fuses taken as closed, a negative pole and no positive one.
    pub(super) ground: IdVec<ClusterId, bool>,
}

impl Clusters {
    pub(super) fn new(network: &Network, closure: &Closure) -> Self {
        let points = network.components(|id, edge| closure.passes_faults(id, edge));
        let wide = network.components(|id, edge| closure.conducts(id, edge));
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

    pub(super) fn of(&self, point: PointId) -> ClusterId {
        ClusterId(self.points.of(point).0)
    }

    /// Whether a point is in a ground.
    pub(super) fn grounds(&self, point: PointId) -> bool {
        self.ground[self.of(point)]
    }
}

/// Clusters that sources join, past no fuse.
#[derive(Debug, Default)]
pub(super) struct Sections {
    pub(super) points: Components,
    pub(super) by_cluster: IdVec<ClusterId, SectionId>,
    pub(super) grounded: IdVec<SectionId, bool>,
    /// Whether all current of its sources leaves them at positive poles, so that a diode is known to block or not.
    pub(super) one_way: IdVec<SectionId, bool>,
}

impl Sections {
    pub(super) fn new(network: &Network, closure: &Closure, clusters: &Clusters) -> Self {
        // A source with a limit never delivers more than that: it joins nothing.
        let points = network.components(|id, edge| closure.passes_faults(id, edge) || edge.role.drives_without_limit());
        let mut by_cluster = IdVec::of(SectionId(0), clusters.ground.len());
        let mut grounded = IdVec::of(false, points.len());
        for point in points_of(network) {
            let section = SectionId(points.of(point).0);
            by_cluster[clusters.of(point)] = section;
            if clusters.grounds(point) {
                grounded[section] = true;
            }
        }
        let mut positive = IdVec::of(false, clusters.ground.len());
        let mut one_way = IdVec::of(true, points.len());
        let drives = || network.edges().map(|(_, edge)| edge).filter(|edge| edge.role.drives_without_limit());
        drives().for_each(|edge| positive[clusters.of(edge.b)] = true);
        for edge in drives().filter(|edge| !clusters.grounds(edge.a) && !positive[clusters.of(edge.a)]) {
            one_way[SectionId(points.of(edge.a).0)] = false;
        }
        Self { points, by_cluster, grounded, one_way }
    }

    pub(super) fn of(&self, point: PointId) -> SectionId {
        SectionId(self.points.of(point).0)
    }
}
