//! A state of rest with what is found in it once for all faults.

use super::things::Things;
use crate::{
    arena::IdVec,
    circuit::BranchKind,
    electrical::{Electrical, altered::Rest, faults::Bridging},
    model::PointId,
    network::EdgeId,
    quantity::Ampere,
};

/// Growth of a current from which on a fault is what opens a fuse or burns a conductor.
pub(super) const GROWN: f64 = 1.1;
/// Current from which on a conductor or fuse is looked at, in ampere.
pub(super) const LEAST_LOAD: f64 = 0.1;
/// Points that are asked first whether an island has them for its zero.
const ASKED: usize = 8;

/// A state of rest, ready for faults.
#[derive(Debug)]
pub(super) struct Ground<'e> {
    pub(super) rest: Rest<'e>,
    /// What shorts do in it; `None` where nothing is known of that.
    pub(super) bridging: Option<Bridging>,
    /// Per edge: the current beyond which it has grown; without end for what neither opens nor burns.
    pub(super) loads: IdVec<EdgeId, Ampere>,
    /// Per row: whether all in it only resists or draws.
    pub(super) is_plain: Vec<bool>,
    /// Per point: the order in which points are taken for the zero of an island.
    pub(super) order: IdVec<PointId, u32>,
    /// The first of them.
    pub(super) zeros: Vec<PointId>,
}

impl<'e> Ground<'e> {
    /// Cost: a pass over edges and points.
    pub(super) fn new(electrical: &'e Electrical, things: &Things<'_>, rest: Rest<'e>) -> Self {
        let network = electrical.network();
        let beside = electrical.beside.of(rest.state.id);
        let bridging = beside.map(|beside| Bridging::new(network, electrical.domains(), (rest.circuit(), rest.state), beside));
        let grown = |edge: EdgeId| (rest.amps(edge).abs() * GROWN).max(Ampere::new(LEAST_LOAD));
        let suffers = |edge: EdgeId| network[edge].wire().is_some() || network[edge].role.is_fuse();
        let loads = network.edges().map(|(id, _)| if suffers(id) { grown(id) } else { Ampere::new(f64::INFINITY) });
        let loads = loads.collect();
        let circuit = rest.circuit();
        let resists_or_draws = |edge: &EdgeId| {
            let kind = circuit.branches.get(edge.index()).map(|branch| branch.kind);
            matches!(kind, Some(BranchKind::Resistance(_) | BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. }))
        };
        let is_plain = things.rows.iter().map(|row| row.edges.iter().all(resists_or_draws)).collect();
        let mut order: IdVec<PointId, u32> =
            (0..).take(network.point_count()).map(|place| place + circuit.references.len() as u32).collect();
        for (place, reference) in circuit.references.iter().enumerate().rev() {
            order[PointId::from_index(*reference as usize)] = place as u32;
        }
        let zeros = circuit.references.iter().take(ASKED).map(|point| PointId::from_index(*point as usize)).collect();
        Self { rest, bridging, loads, is_plain, order, zeros }
    }
}
