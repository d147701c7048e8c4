//! What flows in a design after a few small changes of it: a conductor opened, a contact welded, two contacts bridged.
//!
//! Owns the state of rest to which changes are made; what they are called is [`what_if`](super::what_if)'s, which solves a whole mode anew,
//! the arithmetic [`circuit::altered`](crate::circuit::altered)'s. Conductors stay as
//! warm as the mode made them: what flows is what follows at once, before anything warms up or cools down. Knows nothing of which changes
//! are worth a look: `single_faults` asks for those of a list, who looks for a fault by its readings asks for any.
//!
//! Cost: a state of rest is found again once; then see [`circuit::altered`](crate::circuit::altered).

use super::{Electrical, ModeState, modes::branches::Maker, what_if::Change};
use crate::{
    circuit::{
        BranchKind, Circuit,
        altered::{Alteration, Altered, Base, Known},
    },
    model::{ModeId, PointId},
    network::{EdgeId, Network},
    quantity::{Ampere, Volt},
};

/// A limit that a source gives less than, because its own supply allows no more, counts as another one from this share of it.
const LESS: f64 = 1.0 - 1e-9;

/// A state of rest of a design, ready for changes.
#[derive(Debug)]
pub struct Rest<'e> {
    network: &'e Network,
    /// The state.
    pub state: &'e ModeState,
    /// The mode after which it is reached, for one in which coils stay in that another mode energised.
    pub after: Option<ModeId>,
    circuit: Circuit,
    base: Base,
}

/// What flows after a change.
#[derive(Debug)]
pub struct After<'r>(Altered<'r>);

impl Electrical {
    /// The states of rest that were computed, those of the modes in the order of [`modes`](Self::modes) and then the second ones, in which
    /// relays stay in.
    ///
    /// `near` are pairs of points that [`Change::Joined`] may join; others may be joined too, which costs more.
    #[must_use]
    pub fn rests(&self, near: &[(PointId, PointId)]) -> Vec<Rest<'_>> {
        let maker = self.maker();
        let first = self.modes().map(|state| (state, None));
        let second = self.latched().iter().map(|latched| (&latched.state, Some(latched.after)));
        first.chain(second).map(|(state, after)| Rest::new(self, &maker, (state, after), near)).collect()
    }
}

impl<'e> Rest<'e> {
    fn new(
        electrical: &'e Electrical,
        maker: &Maker<'_>,
        (state, after): (&'e ModeState, Option<ModeId>),
        near: &[(PointId, PointId)],
    ) -> Self {
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
        // What a switch may join is near as well.
        let switches = network.edges().filter(|(_, edge)| edge.role.conducts_when_closed()).map(|(_, edge)| (edge.a, edge.b));
        let near = near.iter().copied().chain(switches).map(|(one, other)| (one.index() as u32, other.index() as u32));
        let base = Base::new(&circuit, known, near);
        Self { network, state, after, circuit, base }
    }

    /// What flows after these changes.
    #[must_use]
    pub fn with(&self, changes: &[Change]) -> After<'_> {
        let alterations: Vec<Alteration> = changes.iter().filter_map(|change| change.in_circuit(&self.circuit)).collect();
        After(self.base.with(&alterations))
    }

    /// The circuit as it is at rest, for who solves it by other means.
    #[must_use]
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }

    /// Whether the state was found again around a point; nothing can be said of changes there where it was not.
    #[must_use]
    pub fn is_known(&self, point: PointId) -> bool {
        self.base.is_known(point.index() as u32)
    }

    /// Voltage of a point against the reference of its island, before any change.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.base.volts(point.index() as u32)
    }

    /// Voltage between two points; zero where nothing joins them.
    #[must_use]
    pub fn across(&self, one: PointId, other: PointId) -> Volt {
        if self.are_joined(one, other) { (self.volts(one) - self.volts(other)).abs() } else { Volt::ZERO }
    }

    /// Current in an edge, positive from its first point to its second.
    #[must_use]
    pub fn amps(&self, edge: EdgeId) -> Ampere {
        self.base.amps(edge.0)
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.base.is_live(point.index() as u32)
    }

    /// Whether a coil holds its contacts moved, or the input of a converter runs its output.
    #[must_use]
    pub fn is_on(&self, edge: EdgeId) -> bool {
        self.base.is_on(edge.0)
    }

    /// Whether what conducts joins two points.
    #[must_use]
    pub fn are_joined(&self, one: PointId, other: PointId) -> bool {
        self.base.are_joined(one.index() as u32, other.index() as u32)
    }

    /// Whether an edge asks for anything in the mode: a load or converter that runs, a coil.
    #[must_use]
    pub fn runs(&self, edge: EdgeId) -> bool {
        self.circuit.branches.get(edge.index()).is_some_and(|branch| !matches!(branch.kind, BranchKind::Open))
    }

    /// The coil that a contact follows; `None` for what is not a contact of a relay.
    #[must_use]
    pub fn coil_of(&self, edge: EdgeId) -> Option<EdgeId> {
        match self.circuit.branches.get(edge.index())?.kind {
            BranchKind::RelayContact { coil, .. } => Some(EdgeId(coil)),
            _ => None,
        }
    }

    /// The network.
    #[must_use]
    pub fn network(&self) -> &'e Network {
        self.network
    }
}

impl After<'_> {
    /// Points that the change may reach, in order; all others are as they were.
    pub fn points(&self) -> impl Iterator<Item = PointId> {
        self.0.nodes().iter().map(|node| PointId::from_index(*node as usize))
    }

    /// Edges that the change may reach, in order; all others are as they were.
    pub fn edges(&self) -> impl Iterator<Item = EdgeId> {
        self.0.branches().iter().map(|branch| EdgeId(*branch))
    }

    /// Voltage of a point against the reference of its island.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.0.volts(point.index() as u32)
    }

    /// Voltage between two points; zero where nothing joins them.
    #[must_use]
    pub fn across(&self, one: PointId, other: PointId) -> Volt {
        if self.are_joined(one, other) { (self.volts(one) - self.volts(other)).abs() } else { Volt::ZERO }
    }

    /// Current in an edge, positive from its first point to its second.
    #[must_use]
    pub fn amps(&self, edge: EdgeId) -> Ampere {
        self.0.amps(edge.0)
    }

    /// The current through what was joined, in the order of the changes.
    pub fn amps_of_joins(&self) -> impl Iterator<Item = Ampere> {
        self.0.amps_of_joins()
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.0.is_live(point.index() as u32)
    }

    /// Whether a coil holds its contacts moved, or the input of a converter runs its output.
    #[must_use]
    pub fn is_on(&self, edge: EdgeId) -> bool {
        self.0.is_on(edge.0)
    }

    /// Whether what conducts joins two points.
    #[must_use]
    pub fn are_joined(&self, one: PointId, other: PointId) -> bool {
        self.0.are_joined(one.index() as u32, other.index() as u32)
    }

    /// Edges, in order, that do not settle: there is no steady state.
    #[must_use]
    pub fn unsettled(&self) -> Vec<EdgeId> {
        self.0.unsettled().into_iter().map(EdgeId).collect()
    }

    /// Whether there is a steady state.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.0.is_settled()
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
