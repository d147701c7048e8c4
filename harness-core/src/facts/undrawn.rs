//! Supplies and phases of which no current is known, because no element of the design draws from them.

use super::Facts;
use crate::{
    arena::IdVec,
    model::{PointId, WireId},
    network::Network,
    vocabulary::Role,
};

/// For each wire, whether it leads a supply or a phase and nothing in the design could draw current through it.
#[derive(Debug)]
pub struct Undrawn(IdVec<WireId, bool>);

impl Undrawn {
    /// Whether the current of a wire is not known.
    #[must_use]
    pub fn is_unknown(&self, wire: WireId) -> bool {
        self.0[wire]
    }
}

impl Facts {
    /// Wires that lead a supply or a phase to something that the design does not say the current of, and for which no current is given.
    ///
    /// Cost: one search of the network when first asked. Asked by `review/missing-fact` and the summary of a run.
    #[must_use]
    pub fn undrawn(&self) -> &Undrawn {
        self.made.undrawn.get_or_init(|| undrawn(self))
    }
}

fn undrawn(facts: &Facts) -> Undrawn {
    let (model, network) = (facts.model(), facts.network());
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed());
    let mut drawn = lumps.table(false);
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drains()) {
        for point in [edge.a, edge.b] {
            drawn[lumps.of(point)] = true;
        }
    }
    let each = model.wires().map(|(id, wire)| match (wire.from, wire.to) {
        (Some(from), Some(to)) => {
            let is_fitted = facts.electrical().is_wired(id);
            let idle = facts.electrical().given(id).is_none() && !drawn[lumps.of(from)];
            is_fitted && idle && [from, to].into_iter().any(|point| leads_power(network, point))
        }
        (None, _) | (_, None) => false,
    });
    Undrawn(each.collect())
}

/// Whether a point of a loom meets a pin that takes or gives a supply or a phase.
fn leads_power(network: &Network, point: PointId) -> bool {
    let met = network.around(point).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other);
    let mut roles = met.filter_map(|point| network.model().role_at(point));
    roles.any(|role| matches!(role, Role::Supply | Role::Line | Role::Phase))
}
