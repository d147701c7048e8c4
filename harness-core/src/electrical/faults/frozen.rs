//! A mode's circuit as a short finds it: loads off, everything that switches as it is, conductors at a temperature.
//!
//! Loads, coils and converter inputs draw nothing while the voltage has collapsed (IEC 60909-0 neglects them too); that relays
//! and converters do not drop out in that moment errs on the safe side, for they would end the fault.

use crate::{
    arena::IdVec,
    circuit::{Branch, BranchKind, Circuit},
    electrical::ModeState,
    model::WireId,
    network::{EdgeId, Network},
    quantity::Ohm,
};

/// The circuit of `state`'s mode with everything frozen; `ohms` gives the resistance of each wire, `inner` that of a source.
pub(super) fn frozen(
    network: &Network,
    circuit: &Circuit,
    state: &ModeState,
    idle: &IdVec<EdgeId, bool>,
    ohms: &IdVec<WireId, Ohm>,
    inner: impl Fn(EdgeId) -> Option<Ohm>,
) -> Circuit {
    let branches = circuit.branches.iter().zip(network.edges()).map(|(branch, (id, edge))| {
        let kind = match branch.kind {
            _ if idle[id] => BranchKind::Open,
            BranchKind::Resistance(resistance) => BranchKind::Resistance(edge.wire().map_or(resistance, |wire| ohms[wire])),
            BranchKind::Source { emf, resistance, limit } if is_there(state, id, branch.kind) => {
                BranchKind::Source { emf, resistance: inner(id).unwrap_or(resistance), limit }
            }
            kind @ (BranchKind::Source { .. } | BranchKind::Diode { .. }) if is_there(state, id, kind) => kind,
            BranchKind::RelayContact { resistance, .. } if state.conducts(id) => BranchKind::Resistance(resistance),
            BranchKind::Source { .. } | BranchKind::Diode { .. } | BranchKind::RelayContact { .. } => BranchKind::Open,
            BranchKind::Open | BranchKind::Coil { .. } | BranchKind::ConverterInput { .. } => BranchKind::Open,
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } => BranchKind::Open,
        };
        Branch { kind, ..*branch }
    });
    Circuit { nodes: circuit.nodes, branches: branches.collect(), references: circuit.references.clone() }
}

/// A diode is there whether it conducts or not: a short may turn it. An element that could not be computed with is not.
fn is_there(state: &ModeState, id: EdgeId, kind: BranchKind) -> bool {
    let usable = !state.refused.contains(&id);
    usable && (matches!(kind, BranchKind::Diode { .. }) || state.conducts(id))
}
