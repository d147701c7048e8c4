//! What flows in a design after a few small changes of it: a conductor opened, a contact welded, two contacts bridged.
//!
//! Owns the state of rest to which changes are made; what they are called is [`what_if`](super::what_if)'s, which solves a whole mode anew,
//! the arithmetic [`circuit::altered`](crate::circuit::altered)'s. Conductors stay as
//! warm as the mode made them: what flows is what follows at once, before anything warms up or cools down. Knows nothing of which changes
//! are worth a look: `single_faults` asks for those of a list, who looks for a fault by its readings asks for any.
//!
//! Cost: a state of rest is found again once; then see [`circuit::altered`](crate::circuit::altered).

use super::{Electrical, ModeState, modes::branches::Maker, resting::Resting, what_if::Change};
use crate::{
    circuit::{BranchKind, Circuit, altered::Altered},
    model::{ModeId, PointId},
    network::{EdgeId, Network},
    quantity::{Ampere, Volt},
};

/// A state of rest of a design, ready for changes.
#[derive(Debug)]
pub struct Rest<'e> {
    network: &'e Network,
    /// The state.
    pub state: &'e ModeState,
    /// The mode after which it is reached, for one in which coils stay in that another mode energised.
    pub after: Option<ModeId>,
    resting: Resting,
    /// Per edge: whether it is in it, where the rest is cut off.
    kept: Option<Vec<bool>>,
}

/// What flows after a change.
#[derive(Debug)]
pub struct After<'r> {
    altered: Altered<'r>,
    /// Points that are elsewhere than the circuit says, ascending.
    moved: Vec<Moved>,
    /// How many edges there are; what is beyond is in the place of others.
    edges: u32,
}

/// A point that is at another voltage, because the fault is at another place of the same row.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moved {
    pub(super) point: PointId,
    pub(super) volts: Volt,
    /// The point to which it is joined.
    pub(super) with: PointId,
}

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

impl Electrical {
    /// The first state of rest of a mode; see [`rests`](Self::rests). `None` for a mode that was not computed.
    #[must_use]
    pub fn rest(&self, mode: ModeId, near: &[(PointId, PointId)]) -> Option<Rest<'_>> {
        Some(Rest::new(self, &self.maker(), (self.in_mode(mode)?, None), near))
    }
}

impl<'e> Rest<'e> {
    fn new(
        electrical: &'e Electrical,
        maker: &Maker<'_>,
        (state, after): (&'e ModeState, Option<ModeId>),
        near: &[(PointId, PointId)],
    ) -> Self {
        let resting = Resting::new(electrical, maker, state, near);
        Self { network: electrical.network(), state, after, resting, kept: None }
    }

    /// The same state of what these points and edges hang on alone: nothing is known of what is beyond, which draws what it draws at rest. What
    /// flows after changes is found in a time that depends on what is left.
    ///
    /// Cost: a few passes over points and edges.
    #[must_use]
    pub fn excerpt(&self, points: &[PointId], edges: &[EdgeId]) -> Self {
        let (resting, kept) = self.resting.excerpt(self.network, points, edges);
        Self { network: self.network, state: self.state, after: self.after, resting, kept: Some(kept) }
    }

    /// Whether an edge is in it.
    #[must_use]
    pub fn has(&self, edge: EdgeId) -> bool {
        self.kept.as_ref().is_none_or(|kept| kept.get(edge.index()) == Some(&true))
    }

    /// What flows after these changes.
    #[must_use]
    pub fn with(&self, changes: &[Change]) -> After<'_> {
        After { altered: self.resting.with(changes), moved: Vec::new(), edges: self.network.edge_count() as u32 }
    }

    /// The circuit as it is at rest, for who solves it by other means.
    #[must_use]
    pub fn circuit(&self) -> &Circuit {
        &self.resting.circuit
    }

    /// Whether the state was found again around a point; nothing can be said of changes there where it was not.
    #[must_use]
    pub fn is_known(&self, point: PointId) -> bool {
        self.resting.base.is_known(point.index() as u32)
    }

    /// Voltage of a point against the reference of its island, before any change.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.resting.base.volts(point.index() as u32)
    }

    /// Voltage between two points; zero where nothing joins them.
    #[must_use]
    pub fn across(&self, one: PointId, other: PointId) -> Volt {
        if self.are_joined(one, other) { (self.volts(one) - self.volts(other)).abs() } else { Volt::ZERO }
    }

    /// Current in an edge, positive from its first point to its second.
    #[must_use]
    pub fn amps(&self, edge: EdgeId) -> Ampere {
        self.resting.base.amps(edge.0)
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.resting.base.is_live(point.index() as u32)
    }

    /// Whether a coil holds its contacts moved, or the input of a converter runs its output.
    #[must_use]
    pub fn is_on(&self, edge: EdgeId) -> bool {
        self.resting.base.is_on(edge.0)
    }

    /// Whether what conducts joins two points.
    #[must_use]
    pub fn are_joined(&self, one: PointId, other: PointId) -> bool {
        self.resting.base.are_joined(one.index() as u32, other.index() as u32)
    }

    /// Whether an edge asks for anything in the mode: a load or converter that runs, a coil.
    #[must_use]
    pub fn runs(&self, edge: EdgeId) -> bool {
        self.resting.circuit.branches.get(edge.index()).is_some_and(|branch| !matches!(branch.kind, BranchKind::Open))
    }

    /// The coil that a contact follows; `None` for what is not a contact of a relay.
    #[must_use]
    pub fn coil_of(&self, edge: EdgeId) -> Option<EdgeId> {
        match self.resting.circuit.branches.get(edge.index())?.kind {
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
        self.altered.nodes().iter().map(|node| PointId::from_index(*node as usize))
    }

    /// Edges that the change may reach, in order; all others are as they were.
    pub fn edges(&self) -> impl Iterator<Item = EdgeId> {
        self.altered.branches().iter().copied().take_while(|branch| *branch < self.edges).map(EdgeId)
    }

    /// Edges that the change may reach with what flows in each, in order.
    pub(super) fn flows(&self) -> impl Iterator<Item = (EdgeId, Ampere)> {
        self.edges().zip(self.altered.flows())
    }

    /// Points that the change may reach with the voltage of each and whether a source that is on is joined to it, in order.
    pub(super) fn levels(&self) -> impl Iterator<Item = (PointId, Volt, bool)> {
        let mut moved = self.moved.iter().peekable();
        self.points().zip(self.altered.levels()).map(move |(point, (volts, is_live))| {
            match moved.next_if(|moved| moved.point == point) {
                Some(moved) => (point, moved.volts, self.is_live(point)),
                None => (point, volts, is_live),
            }
        })
    }

    /// The same with these points elsewhere, ascending, and no others.
    pub(super) fn with_moved(self, moved: Vec<Moved>) -> Self {
        Self { moved, ..self }
    }

    #[inline]
    fn moved(&self, point: PointId) -> Option<&Moved> {
        if self.moved.is_empty() { None } else { self.moved.iter().find(|moved| moved.point == point) }
    }

    /// The number of a point, or of that to which it is joined.
    #[inline]
    fn node(&self, point: PointId) -> u32 {
        self.moved(point).map_or(point, |moved| moved.with).index() as u32
    }

    /// Voltage of a point against the reference of its island.
    #[must_use]
    pub fn volts(&self, point: PointId) -> Volt {
        self.moved(point).map_or_else(|| self.altered.volts(point.index() as u32), |moved| moved.volts)
    }

    /// Voltage between two points; zero where nothing joins them.
    #[must_use]
    pub fn across(&self, one: PointId, other: PointId) -> Volt {
        if self.are_joined(one, other) { (self.volts(one) - self.volts(other)).abs() } else { Volt::ZERO }
    }

    /// Current in an edge, positive from its first point to its second.
    #[must_use]
    pub fn amps(&self, edge: EdgeId) -> Ampere {
        self.altered.amps(edge.0)
    }

    /// The current through what was joined, in the order of the changes.
    pub fn amps_of_joins(&self) -> impl Iterator<Item = Ampere> {
        self.altered.amps_of_joins()
    }

    /// Whether a source that is on is joined to the point.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.altered.is_live(self.node(point))
    }

    /// Whether a coil holds its contacts moved, or the input of a converter runs its output.
    #[must_use]
    pub fn is_on(&self, edge: EdgeId) -> bool {
        self.altered.is_on(edge.0)
    }

    /// Whether what conducts joins two points.
    #[must_use]
    pub fn are_joined(&self, one: PointId, other: PointId) -> bool {
        self.altered.are_joined(self.node(one), self.node(other))
    }

    /// Edges, in order, that do not settle: there is no steady state.
    #[must_use]
    pub fn unsettled(&self) -> Vec<EdgeId> {
        self.altered.unsettled().into_iter().map(EdgeId).collect()
    }

    /// Whether there is a steady state.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.altered.is_settled()
    }
}
