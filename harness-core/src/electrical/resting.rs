//! The circuit of a state of rest with what makes changes of it cheap.
//!
//! Conductors are as warm as the mode made them, converters give what their source allows. Cost: the state is found again once; then see
//! [`circuit::altered`](crate::circuit::altered).

use super::{
    Electrical, ModeState,
    modes::branches::Maker,
    what_if::{Change, make},
};
use crate::{
    circuit::{
        BranchKind, Circuit,
        altered::{Alteration, Altered, Base, Known},
    },
    model::{ModeId, PointId},
    network::{EdgeId, Network},
    quantity::Ampere,
};

/// A limit that a source gives less than, because its own supply allows no more, counts as another one from this share of it.
const LESS: f64 = 1.0 - 1e-9;

/// A state of rest, ready for changes.
#[derive(Debug)]
pub(super) struct Resting {
    pub(super) circuit: Circuit,
    pub(super) base: Base,
}

impl Resting {
    /// Finds a state again; `near` are pairs of points that changes may join.
    pub(super) fn new(electrical: &Electrical, maker: &Maker<'_>, state: &ModeState, near: &[(PointId, PointId)]) -> Self {
        let network = electrical.network();
        let circuit = as_it_flows(electrical, maker.circuit(state.id), state);
        let runs: Vec<bool> = circuit
            .branches
            .iter()
            .map(|branch| match branch.kind {
                BranchKind::ConverterInput { output, .. } => state.conducts(EdgeId(output)),
                _ => false,
            })
            .collect();
        let energised: Vec<u32> = state.energised.iter().map(|coil| coil.0).collect();
        let amps: Vec<Ampere> = network.edges().map(|(id, _)| state.amps(id)).collect();
        let known = Known { amps: &amps, energised: &energised, runs: &runs };
        let base = Base::new(&circuit, known, near.iter().copied().chain(switches(network)).map(nodes));
        Self { circuit, base }
    }

    /// The state of rest that follows from this one after these changes; `None` where none does.
    pub(super) fn followed_by(&self, network: &Network, changes: &[Change]) -> Option<Self> {
        let after = self.with(changes);
        let found = after.whole();
        if !found.unsettled.is_empty() {
            return None;
        }
        let mut circuit = self.circuit.clone();
        make(&mut circuit, changes);
        let mut amps = found.amps;
        amps.extend(after.amps_of_joins());
        amps.resize(circuit.branches.len(), Ampere::ZERO);
        let energised: Vec<u32> = (0..).zip(&found.energised).filter(|(_, on)| **on).map(|(coil, _)| coil).collect();
        let known = Known { amps: &amps, energised: &energised, runs: &found.converting };
        let base = Base::new(&circuit, known, switches(network).map(nodes));
        Some(Self { circuit, base })
    }

    /// The same state of what these points and edges hang on, with which edges are in it: what is beyond draws what it draws.
    pub(super) fn excerpt(&self, network: &Network, points: &[PointId], edges: &[EdgeId]) -> (Self, Vec<bool>) {
        let points: Vec<u32> = points.iter().map(|point| point.index() as u32).collect();
        let edges: Vec<u32> = edges.iter().map(|edge| edge.0).collect();
        let (circuit, base, kept) = self.base.excerpt(&points, &edges, switches(network).map(nodes));
        (Self { circuit, base }, kept)
    }

    /// What flows after these changes.
    pub(super) fn with(&self, changes: &[Change]) -> Altered<'_> {
        let alterations: Vec<Alteration> = changes.iter().filter_map(|change| change.in_circuit(&self.circuit)).collect();
        self.base.with(&alterations)
    }
}

/// What a switch may join, which is near as well.
fn switches(network: &Network) -> impl Iterator<Item = (PointId, PointId)> {
    network.edges().filter(|(_, edge)| edge.role.conducts_when_closed()).map(|(_, edge)| (edge.a, edge.b))
}

fn nodes((one, other): (PointId, PointId)) -> (u32, u32) {
    (one.index() as u32, other.index() as u32)
}

impl Electrical {
    /// The state of a mode, ready for changes; found again when it is first asked for.
    pub(super) fn resting(&self, mode: ModeId) -> Option<&Resting> {
        let at = self.modes.iter().position(|state| state.id == mode)?;
        let (state, slot) = (self.modes.get(at)?, self.resting.get(at)?);
        Some(slot.get_or_init(|| Resting::new(self, &self.maker(), state, &[])))
    }
}

/// The circuit of a mode with its conductors as warm as they are in it, and converters that give what their source allows.
fn as_it_flows(electrical: &Electrical, mut circuit: Circuit, state: &ModeState) -> Circuit {
    let beds = &electrical.installation().beds;
    let outputs: Vec<u32> = circuit
        .branches
        .iter()
        .filter_map(|branch| match branch.kind {
            BranchKind::ConverterInput { output, .. } => Some(output),
            _ => None,
        })
        .collect();
    for (branch, (id, edge)) in circuit.branches.iter_mut().zip(electrical.network().edges()) {
        match (&mut branch.kind, edge.wire()) {
            (BranchKind::Resistance(ohms), Some(wire)) => *ohms = beds[wire].resistance(state.heat(wire)),
            (BranchKind::Source { limit: Some(limit), .. }, _) if outputs.contains(&id.0) && state.limiting.contains(&id) => {
                let given = state.amps(id);
                if given.get() > 0.0 && given.get() < LESS * limit.get() {
                    *limit = given;
                }
            }
            _ => {}
        }
    }
    circuit
}
