//! Supplies and phases of which no current is known: no element of the design draws from a supply, and nothing computes what flows
//! between phases.

use super::Facts;
use crate::{
    arena::IdVec,
    model::{PointId, WireId},
    network::Network,
    quantity::Ampere,
    vocabulary::Role,
};

/// What of the current of a wire is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// It is a phase, of a motor or a converter.
    Phase,
    /// It leads a supply to something that says nothing of what it draws.
    Supply,
}

/// The wires whose current is not known.
#[derive(Debug)]
pub struct Undrawn(IdVec<WireId, Option<Unknown>>);

impl Undrawn {
    /// Why the current of a wire is not known; `None` where it is computed or given, or none is expected.
    #[must_use]
    pub fn of(&self, wire: WireId) -> Option<Unknown> {
        self.0[wire]
    }
}

impl Facts {
    /// Wires that carry no computed current though they lead a supply or a phase, and for which none is given.
    ///
    /// Cost: one search of the network when first asked. Asked by `review/missing-fact` and the summary of a run.
    #[must_use]
    pub fn undrawn(&self) -> &Undrawn {
        self.made.undrawn.get_or_init(|| found(self))
    }
}

fn found(facts: &Facts) -> Undrawn {
    let (model, network) = (facts.model(), facts.network());
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed());
    let mut drawn = lumps.table(false);
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drains()) {
        for point in [edge.a, edge.b] {
            drawn[lumps.of(point)] = true;
        }
    }
    let each = model.wires().map(|(id, wire)| {
        let (from, to) = wire.from.zip(wire.to).filter(|_| facts.electrical().is_wired(id))?;
        if facts.electrical().loading(id).amps > Ampere::ZERO || facts.electrical().modes().len() == 0 {
            return None;
        }
        let roles: Vec<Role> = [from, to].into_iter().flat_map(|point| met(network, point)).collect();
        if roles.contains(&Role::Phase) {
            return Some(Unknown::Phase);
        }
        let leads = roles.iter().any(|role| matches!(role, Role::Supply | Role::Line));
        (leads && !drawn[lumps.of(from)]).then_some(Unknown::Supply)
    });
    Undrawn(each.collect())
}

/// The roles of the pins that a point of a loom meets.
fn met(network: &Network, point: PointId) -> impl Iterator<Item = Role> {
    let met = network.around(point).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other);
    met.filter_map(|point| network.model().role_at(point))
}
