//! What is joined in one mode: what conducts, what a source feeds, what shorts one, what does not settle.

use crate::{
    arena::IdVec,
    circuit::{BranchKind, Circuit, Operating},
    model::PointId,
    network::{Edge, EdgeId, Network},
    quantity::Ampere,
};
use petgraph::unionfind::UnionFind;

/// Worst relative error of Kirchhoff's laws at which a mode counts as solved.
const WORST_RESIDUAL: f64 = 1e-9;

/// Whether Kirchhoff's laws hold to one part in a thousand million.
pub(in crate::electrical) fn is_exact(residual: f64) -> bool {
    residual <= WORST_RESIDUAL
}

/// Per point the number, from one, of its circuit if something in that did not settle, else zero; `None` if everything settled.
/// Where the figures are not exact, all points are of one such circuit.
///
/// A circuit here is all that may conduct in one state or another, over converters too, because what the one side does decides
/// what the other does.
pub(super) fn adrift(circuit: &Circuit, operating: &Operating) -> Option<IdVec<PointId, u32>> {
    let count = circuit.nodes as usize;
    if !is_exact(operating.residual) {
        return Some(IdVec::of(1, count));
    }
    if operating.unsettled.is_empty() {
        return None;
    }
    let mut joined = UnionFind::<u32>::new(count);
    for branch in &circuit.branches {
        match branch.kind {
            BranchKind::Open => continue,
            BranchKind::ConverterInput { output, .. } => {
                if let Some(output) = circuit.branches.get(output as usize) {
                    let _ = joined.try_union(branch.from, output.from);
                }
            }
            BranchKind::Resistance(_) | BranchKind::Source { .. } | BranchKind::Diode { .. } | BranchKind::Coil { .. } => {}
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::RelayContact { .. } => {}
        }
        let _ = joined.try_union(branch.from, branch.to);
    }
    let labels = joined.into_labeling();
    let label = |node: u32| labels.get(node as usize).copied();
    let branches = operating.unsettled.iter().filter_map(|number| circuit.branches.get(*number as usize));
    let mut found: Vec<Option<u32>> = branches.map(|branch| label(branch.from)).collect();
    found.sort_unstable();
    found.dedup();
    Some(labels.iter().map(|label| found.binary_search(&Some(*label)).map_or(0, |at| at as u32 + 1)).collect())
}

/// Which branches are closed in the state that was found.
pub(super) fn conducting(
    circuit: &Circuit,
    energised: &IdVec<EdgeId, bool>,
    converting: &[bool],
    flowing: &IdVec<EdgeId, Ampere>,
) -> IdVec<EdgeId, bool> {
    let conducts = circuit.branches.iter().zip(flowing.items()).map(|(branch, amps)| match branch.kind {
        BranchKind::Open => false,
        BranchKind::RelayContact { coil, closed_when_energised, .. } => energised[EdgeId(coil)] == closed_when_energised,
        BranchKind::Diode { .. } => amps.get() > 0.0,
        BranchKind::Resistance(_) | BranchKind::Source { .. } | BranchKind::Coil { .. } => true,
        BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. } => true,
    });
    let mut conducts: IdVec<EdgeId, bool> = conducts.collect();
    for (branch, &runs) in circuit.branches.iter().zip(converting) {
        // A converter that does not run has no output.
        if let (BranchKind::ConverterInput { output, .. }, false) = (branch.kind, runs) {
            conducts[EdgeId(output)] = false;
        }
    }
    conducts
}

/// Marks the points that what is closed joins to the positive pole of a source; loads and resistors join nothing here.
pub(super) fn fed(network: &Network, circuit: &Circuit, conducts: &IdVec<EdgeId, bool>) -> IdVec<PointId, bool> {
    let lumps = network.components(|id, edge| edge.role.conducts_when_closed() && conducts[id]);
    let mut fed = lumps.table(false);
    let kinds = circuit.branches.iter().zip(network.edges());
    for (branch, (id, edge)) in kinds {
        if matches!(branch.kind, BranchKind::Source { .. }) && conducts[id] {
            fed[lumps.of(edge.b)] = true;
        }
    }
    (0..network.point_count()).map(|point| fed[lumps.of(PointId::from_index(point))]).collect()
}

/// Marks the islands in which closed edges other than loads and sources join the two poles of a source; `None` if there are none.
pub(super) fn shorted(
    network: &Network,
    circuit: &Circuit,
    conducts: &IdVec<EdgeId, bool>,
    island: &[u32],
) -> Option<IdVec<PointId, bool>> {
    let kinds: IdVec<EdgeId, BranchKind> = circuit.branches.iter().map(|branch| branch.kind).collect();
    let joins = |id: EdgeId, edge: &Edge| {
        let small = match kinds[id] {
            // A resistor takes current as a load does, however small it is: a glow plug, a heater. What is below a shunt's is metal.
            BranchKind::Resistance(_) => edge.role.conducts_when_closed(),
            BranchKind::RelayContact { .. } | BranchKind::Diode { .. } => true,
            BranchKind::Open | BranchKind::Source { .. } | BranchKind::Coil { .. } => false,
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. } => false,
        };
        small && conducts[id]
    };
    let lumps = network.components(joins);
    let shorts = network
        .edges()
        .filter(|(id, edge)| matches!(kinds[*id], BranchKind::Source { .. }) && lumps.of(edge.a) == lumps.of(edge.b));
    let poles: Vec<PointId> = shorts.map(|(_, edge)| edge.a).collect();
    if poles.is_empty() {
        return None;
    }
    let island: IdVec<PointId, u32> = island.to_vec().into();
    let mut islands: Vec<u32> = poles.into_iter().map(|pole| island[pole]).collect();
    islands.sort_unstable();
    Some(island.items().iter().map(|number| islands.binary_search(number).is_ok()).collect())
}
