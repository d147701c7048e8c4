//! Currents of conductors that no element of the design loads: those that the design gives, and the limit of a converter from which
//! nothing in the design draws.

use crate::{
    arena::IdVec,
    electrical::lookup::Lookup,
    model::{DeviceId, ElementId, ElementKind, ModeSet, Owner, PointId, Wire, WireId},
    network::{Components, GroupId, Network},
    quantity::Ampere,
    text::{At, Span},
    vocabulary::Role,
};

/// A current that was not computed from what draws it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// The current.
    pub amps: Ampere,
    /// What says so.
    pub by: GivenBy,
    /// The modes in which it flows: those in which a load of a device at its ends runs, all where none of them has a load.
    pub modes: ModeSet,
}

/// What gives a current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GivenBy {
    /// `current` of the wire, or of its cable, at this place.
    Design(Span),
    /// The limit of this converter; no other source feeds the conductor, and nothing in the design draws from it.
    Limit(ElementId),
}

/// The currents that are given, by wire. Cost: one search of the network, and a pass over the wires.
pub(super) fn given(network: &Network) -> IdVec<WireId, Option<Given>> {
    let model = network.model();
    let limits = Limits::new(network);
    let each = model.wires().map(|(_, wire)| {
        let said = wire.current.or_else(|| of_cable(network, wire));
        said.map(|at| Given { amps: at.value, by: GivenBy::Design(at.span), modes: runs(network, wire) })
            .or_else(|| limits.of(wire))
    });
    each.collect()
}

/// The modes in which something at the ends of a wire runs.
fn runs(network: &Network, wire: &Wire) -> ModeSet {
    let model = network.model();
    let ends = [wire.from, wire.to].into_iter().flatten();
    let met = ends.flat_map(|point| network.around(point).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other));
    let mut devices: Vec<DeviceId> = met.filter_map(|point| model.device_at(point)).collect();
    devices.sort_unstable();
    devices.dedup();
    let owned = model.elements().filter(|(_, element)| match element.owner {
        Owner::Device(device) => devices.contains(&device),
        Owner::Loom(_) => false,
    });
    let mut all: Option<ModeSet> = None;
    for (_, element) in owned {
        let modes = match element.kind {
            ElementKind::Load { modes, .. } | ElementKind::Converter { modes, .. } => modes,
            _ => continue,
        };
        let set = all.get_or_insert(ModeSet::NONE);
        model.modes().map(|(mode, _)| mode).filter(|mode| modes.has(*mode)).for_each(|mode| set.add(mode));
    }
    // A device without a load that ever runs says nothing of when it works.
    all.filter(|set| *set != ModeSet::NONE).unwrap_or(ModeSet::ALL)
}

/// What a cable says holds for its cores that lead to no earth, chassis or screen.
fn of_cable(network: &Network, wire: &Wire) -> Option<At<Ampere>> {
    let current = network.model()[wire.core?.0].current?;
    let is_live = |point: PointId| {
        let roles = network.around(point).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other);
        let mut roles = roles.chain([point]).filter_map(|point| network.model().role_at(point));
        !roles.any(|role| matches!(role, Role::Earth | Role::Chassis | Role::Screen | Role::Interlock))
    };
    [wire.from, wire.to].into_iter().flatten().all(is_live).then_some(current)
}

/// Pieces of metal that converters with a limit feed and from which nothing draws.
struct Limits {
    /// What is one piece past closed contacts and fuses.
    wide: Components,
    /// What is one piece past closed contacts and no fuse.
    narrow: Components,
    /// By narrow piece: the limits of the converters with a pole in it.
    fed: Lookup<GroupId, Given>,
    /// By wide piece: another source has a pole in it, or something draws.
    has_more: IdVec<GroupId, bool>,
}

impl Limits {
    fn new(network: &Network) -> Self {
        let wide = network.components(|_, edge| edge.role.conducts_when_closed());
        let narrow = network.components(|_, edge| edge.role.passes_faults());
        let mut fed: Lookup<GroupId, Given> = Lookup::default();
        let mut has_more = wide.table(false);
        for (_, edge) in network.edges() {
            let limit = edge.element().and_then(|id| match network.model()[id].kind {
                ElementKind::Converter { limit, modes, .. } if edge.role.drives() => Some((id, limit?.value, modes)),
                _ => None,
            });
            let more = limit.is_none() && (edge.role.drives() || edge.role.drains() || edge.role.holds_back());
            for pole in [edge.a, edge.b] {
                has_more[wide.of(pole)] |= more;
                if let Some((id, amps, modes)) = limit {
                    let given =
                        fed.0.entry(narrow.of(pole)).or_insert(Given { amps: Ampere::ZERO, by: GivenBy::Limit(id), modes });
                    given.amps += amps;
                }
            }
        }
        Self { wide, narrow, fed, has_more }
    }

    fn of(&self, wire: &Wire) -> Option<Given> {
        // A wire that leads nowhere carries nothing.
        let (from, _) = wire.from.zip(wire.to)?;
        self.fed.0.get(&self.narrow.of(from)).copied().filter(|_| !self.has_more[self.wide.of(from)])
    }
}
