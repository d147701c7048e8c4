//! How far a current gets where diodes block it: from anode to cathode alone.

use crate::{
    electrical::alternatives::Closure,
    model::PointId,
    network::{Edge, EdgeRole, Network},
};
use rustc_hash::FxHashSet;

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
