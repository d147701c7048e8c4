//! Lumps: what some search joins, by their numbers, so that a table of them is indexed loudly.

use crate::{arena::ids, model::PointId, network::Components};

ids! {
    /// Points that a search joins, by its number among the lumps of that search.
    LumpId;
}

/// The lump of a point.
pub(super) fn lump(lumps: &Components, point: PointId) -> LumpId {
    LumpId(lumps.of(point).0)
}
