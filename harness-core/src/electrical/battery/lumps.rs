//! What conductors join, and which of it ends a string or puts sources in a row.

use super::LumpId;
use crate::{
    arena::IdVec,
    electrical::alternatives::Alternatives,
    model::{ElementId, ElementKind, ModeSet, Model, PointId},
    network::{GroupId, Network},
    vocabulary::Role,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};

/// Sources that are there in some modes only and meet one other source of the same modes, and nothing else, at one of their poles.
pub(super) fn rows(network: &Network, of: &dyn Fn(PointId) -> LumpId, busy: &FxHashSet<LumpId>) -> FxHashSet<ElementId> {
    let model = network.model();
    let mut at: FxHashMap<LumpId, Vec<(ElementId, ModeSet)>> = FxHashMap::default();
    for (_, edge) in network.edges() {
        let Some(source) = edge.element() else { continue };
        let ElementKind::Source { modes, .. } = model[source].kind else { continue };
        let (low, high) = (of(edge.a), of(edge.b));
        for lump in [low, high].into_iter().filter(|lump| low != high && !busy.contains(lump)) {
            at.entry(lump).or_default().push((source, modes));
        }
    }
    let pairs = at.into_values().filter_map(|here| match here.as_slice() {
        [(one, modes), (other, same)] if one != other && modes == same && *modes != ModeSet::ALL => Some([*one, *other]),
        _ => None,
    });
    pairs.flatten().collect()
}

/// Per point the number of what conductors join to it, once everything is fitted and in.
pub(super) fn lumps(network: &Network, alternatives: &Alternatives) -> IdVec<PointId, LumpId> {
    let joined = network.components(|id, edge| edge.role.joins_battery() && !alternatives.is_alternative(id));
    // A fuse that is left out of its holder is not an edge of the network.
    let mut sets = UnionFind::<u32>::new(joined.len());
    for (_, element) in network.model().elements() {
        if let (ElementKind::Fuse { fitted: false, .. }, [a, b]) = (&element.kind, &*element.points) {
            let _ = sets.try_union(joined.of(*a).0, joined.of(*b).0);
        }
    }
    let labels: IdVec<GroupId, u32> = sets.into_labeling().into();
    (0..network.point_count()).map(|point| LumpId(labels[joined.of(PointId::from_index(point))])).collect()
}

/// Lumps at which something takes current, or which are the chassis.
pub(super) fn busy(network: &Network, of: &dyn Fn(PointId) -> LumpId) -> FxHashSet<LumpId> {
    let model = network.model();
    let mut busy = FxHashSet::default();
    for (_, edge) in network.edges() {
        if edge.role.ends_strings() {
            busy.insert(of(edge.a));
            busy.insert(of(edge.b));
        }
    }
    let chassis = model.devices().filter(|(_, device)| device.chassis).flat_map(|(_, device)| device.ports.iter());
    for point in chassis.flat_map(|port| model[port].points.iter()) {
        busy.insert(of(point));
    }
    busy
}

/// Lumps that a pin calls a return.
pub(super) fn grounds(model: &Model, of: &dyn Fn(PointId) -> LumpId) -> FxHashSet<LumpId> {
    let returns = model.points().filter(|(_, point)| {
        let role = point.pin.and_then(|pin| model[pin].role).map(|role| role.value);
        matches!(role, Some(Role::Return | Role::Chassis | Role::Earth))
    });
    returns.map(|(id, _)| of(id)).collect()
}
