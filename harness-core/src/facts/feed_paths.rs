//! From the positive pole of a source to the hot side of a load, in words.

use super::near_supply::NearSupply;
use crate::{
    electrical::ModeState,
    model::{ModeId, PointId},
    network::{Edge, EdgeId, Network, turned},
};
use rustc_hash::FxHashMap;

/// Paths from sources in the states of a design; what paths of one state have in common is measured once.
#[derive(Debug, Default)]
pub struct FeedPaths {
    /// Over closed conductors.
    closed: FxHashMap<ModeId, NearSupply>,
    /// Through loads and resistors too.
    any: FxHashMap<ModeId, NearSupply>,
}

impl FeedPaths {
    /// From a positive pole to the point `hot` of the load: past no other load if there is such a way. Empty where there is none.
    ///
    /// `state` is always the same one for one mode. Cost: a few passes over the network for each state, then what is on the shortest
    /// paths.
    pub fn names(&mut self, network: &Network, state: &ModeState, load: EdgeId, hot: PointId) -> Vec<String> {
        let is_pole = |point: PointId| {
            network.around(point).any(|(id, edge, _)| edge.role.drives() && edge.b == point && state.conducts(id))
        };
        let closed = |id: EdgeId, edge: &Edge| state.conducts(id) && edge.role.conducts_when_closed();
        let any = |id: EdgeId, edge: &Edge| state.conducts(id) && !edge.role.drives();
        let direct = self.closed.entry(state.id).or_insert_with(|| NearSupply::new(network, is_pole, closed)).path(hot);
        let steps = direct.or_else(|| {
            let near = self.any.entry(state.id).or_insert_with(|| NearSupply::new(network, is_pole, any));
            near.path_without(network, hot, load, any)
        });
        let Some(steps) = steps else { return Vec::new() };
        // The path was found from the load: it is shown from the source.
        let (start, turned) = turned(hot, &steps);
        network.names(start, &turned)
    }
}
