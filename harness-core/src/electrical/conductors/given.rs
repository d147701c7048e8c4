//! Currents of conductors that no element of the design loads: those that the design gives, and the limit of a source that feeds
//! nothing else.

use crate::{
    arena::IdVec,
    electrical::lookup::Lookup,
    model::{ElementId, ElementKind, PointId, Wire, WireId},
    network::{GroupId, Network},
    quantity::Ampere,
    text::Span,
    vocabulary::Role,
};

/// A current that was not computed from what draws it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// The current.
    pub amps: Ampere,
    /// What says so.
    pub by: GivenBy,
}

/// What gives a current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GivenBy {
    /// `current` of the wire, or of its cable, at this place.
    Design(Span),
    /// The limit of this source or converter, the only one that feeds the conductor; nothing in the design draws from it.
    Limit(ElementId),
}

/// The currents that are given, by wire. Cost: one search of the network, and a pass over the wires.
pub(super) fn given(network: &Network) -> IdVec<WireId, Option<Given>> {
    let model = network.model();
    let limits = Limits::new(network);
    let each = model.wires().map(|(_, wire)| {
        let said = wire.current.or_else(|| of_cable(network, wire));
        said.map(|at| Given { amps: at.value, by: GivenBy::Design(at.span) }).or_else(|| limits.of(wire))
    });
    each.collect()
}

/// What a cable says holds for its cores that lead to no earth, chassis or screen.
fn of_cable(network: &Network, wire: &Wire) -> Option<crate::text::At<Ampere>> {
    let current = network.model()[wire.core?.0].current?;
    let is_live = |point: PointId| {
        let roles = network.around(point).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other);
        let mut roles = roles.chain([point]).filter_map(|point| network.model().role_at(point));
        !roles.any(|role| matches!(role, Role::Earth | Role::Chassis | Role::Screen | Role::Interlock))
    };
    [wire.from, wire.to].into_iter().flatten().all(is_live).then_some(current)
}

/// Pieces of metal that sources with a limit feed and from which nothing draws.
struct Limits {
    lumps: crate::network::Components,
    /// By lump: the sum of the limits with one of the sources.
    fed: Lookup<GroupId, Option<Given>>,
}

impl Limits {
    fn new(network: &Network) -> Self {
        let lumps = network.components(|_, edge| edge.role.conducts_when_closed());
        let mut fed: Lookup<GroupId, Option<Given>> = Lookup::default();
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            let limit = edge.element().and_then(|id| match network.model()[id].kind {
                ElementKind::Source { limit, .. } | ElementKind::Converter { limit, .. } => {
                    limit.map(|at| Given { amps: at.value, by: GivenBy::Limit(id) })
                }
                _ => None,
            });
            for pole in [edge.a, edge.b] {
                let slot = fed.0.entry(lumps.of(pole)).or_insert(limit);
                if let (Some(before), Some(limit)) = (*slot, limit)
                    && before.by != limit.by
                {
                    *slot = Some(Given { amps: before.amps + limit.amps, ..before });
                } else if limit.is_none() {
                    *slot = None;
                }
            }
        }
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drains() || edge.role.holds_back()) {
            for point in [edge.a, edge.b] {
                if let Some(slot) = fed.0.get_mut(&lumps.of(point)) {
                    *slot = None;
                }
            }
        }
        Self { lumps, fed }
    }

    fn of(&self, wire: &Wire) -> Option<Given> {
        let found = |point: PointId| *self.fed.0.get(&self.lumps.of(point))?;
        // A wire that leads nowhere carries nothing.
        wire.from.and_then(found).filter(|_| wire.to.is_some())
    }
}
