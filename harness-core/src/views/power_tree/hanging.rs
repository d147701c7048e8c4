//! What takes current on the nets that are fed.

use super::grid::Grid;
use crate::{
    network::{EdgeId, EdgeRole, NetId},
    text::Span,
};
use rustc_hash::FxHashMap;

/// What hangs on a fed net.
pub(super) struct Hanging {
    /// Per net, the edges that take current there, in the order written.
    pub(super) takers: FxHashMap<NetId, Vec<EdgeId>>,
    /// Per net, the edges that are shown at another net and have their other end there.
    pub(super) sides: FxHashMap<NetId, Vec<EdgeId>>,
    /// Each with the net that it hangs on and that of its other end.
    pub(super) all: Vec<(EdgeId, NetId, NetId)>,
}

/// What hangs on the nets of a grid.
pub(super) fn hanging(grid: &Grid<'_>) -> Hanging {
    let network = grid.analysis.network();
    let model = grid.analysis.model();
    let mut found = Hanging { takers: FxHashMap::default(), sides: FxHashMap::default(), all: Vec::new() };
    let mut takers: Vec<(Span, EdgeId)> =
        grid.takers.iter().filter_map(|id| Some((model[network[*id].element()?].span, *id))).collect();
    takers.sort_unstable();
    for (_, id) in takers {
        let (a, b) = grid.ends(id);
        let is_resistor = network[id].role == EdgeRole::Resistor;
        // A resistor between two fed nets is on the way from one to the other.
        let (net, far) = match (grid.fed[a], grid.fed[b]) {
            _ if a == b => continue,
            (true, true) if is_resistor => continue,
            (true, _) => (a, b),
            (false, true) => (b, a),
            (false, false) => continue,
        };
        found.takers.entry(net).or_default().push(id);
        found.all.push((id, net, far));
        if grid.fed[far] {
            found.sides.entry(far).or_default().push(id);
        }
    }
    found
}
