//! What opening an interlock loop drops.

use super::{
    holder, is_contactor,
    pieces::{Pieces, Reach, shares_signal},
};
use crate::{
    electrical::{ModeState, what_if::Change},
    facts::{Facts, reach::device_at},
    model::{DeviceId, ElementId, ModeId, PointId},
    network::{Edge, EdgeId, EdgeRole, GroupId},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

/// How an open loop lets contactors go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DropsBy {
    /// The supply of their coils is cut, as computed.
    Circuit {
        /// A coil that lets go while its positive point keeps the supply: the loop is in its ground side.
        ground_side: Option<ElementId>,
    },
    /// The loop ends at this device, which drives the coils or sends to what does: its program has to.
    Controller(DeviceId),
    /// Nothing that is drawn.
    Nothing,
}

/// What opening one loop drops in one mode.
#[derive(Debug)]
pub struct LoopEffect {
    /// The mode.
    pub mode: ModeId,
    /// The bridge that was opened for it; of those of one loop the first.
    pub bridge: ElementId,
    /// The contactors of class B that are closed in the mode and have a coil, in order.
    pub contactors: Vec<ElementId>,
    /// Those of them that stay closed.
    pub stay: Vec<ElementId>,
    /// How they are dropped; judged by the best of them, for one open pole is enough.
    pub by: DropsBy,
}

/// What opening each loop drops in a mode, one bridge of each loop tried. Cost: a solution for each loop.
pub(super) fn effects(facts: &Facts, pieces: &Pieces<'_>, mode: &ModeState) -> Vec<LoopEffect> {
    let network = facts.network();
    let contactors: Vec<EdgeId> = network
        .edges()
        .filter(|(id, edge)| edge.role == EdgeRole::MakeContact && is_contactor(facts, edge) && mode.conducts(*id))
        .map(|(id, _)| id)
        .collect();
    if contactors.is_empty() {
        return Vec::new();
    }
    let mut seen: FxHashSet<GroupId> = FxHashSet::default();
    let mut found = Vec::new();
    for bridge in pieces.bridges.iter().copied() {
        let edge = network[bridge];
        if seen.contains(&pieces.of.of(edge.a)) || seen.contains(&pieces.of.of(edge.b)) || pieces.reach(bridge) != Reach::Cut {
            continue;
        }
        // All that is in series with it has the same effect.
        seen.extend(pieces.loop_of(bridge));
        let Some(element) = edge.element() else { continue };
        let Some(state) = facts.electrical().altered(mode.id, &[Change::Open(bridge)]) else { continue };
        let stay: Vec<EdgeId> = contactors.iter().copied().filter(|contact| state.conducts(*contact)).collect();
        let by = if stay.len() < contactors.len() {
            DropsBy::Circuit { ground_side: ground_side(facts, mode, &state) }
        } else {
            watched(facts, pieces, bridge, &stay).map_or(DropsBy::Nothing, DropsBy::Controller)
        };
        let elements = |edges: &[EdgeId]| edges.iter().filter_map(|id| network[*id].element()).collect();
        found.push(LoopEffect { mode: mode.id, bridge: element, contactors: elements(&contactors), stay: elements(&stay), by });
    }
    found
}

/// A coil that let go while the supply is still at it: its ground was opened.
fn ground_side(facts: &Facts, before: &ModeState, after: &ModeState) -> Option<ElementId> {
    let network = facts.network();
    let let_go = before.energised.iter().filter(|coil| after.energised.binary_search(coil).is_err());
    let keeps_supply = |coil: &&EdgeId| {
        let edge = network[**coil];
        after.is_fed(edge.a) || after.is_fed(edge.b)
    };
    let_go.filter(keeps_supply).find_map(|coil| network[*coil].element())
}

/// The device at which the loop ends and which lets a contactor go by its program.
fn watched(facts: &Facts, pieces: &Pieces<'_>, bridge: EdgeId, stay: &[EdgeId]) -> Option<DeviceId> {
    let network = facts.network();
    let mut ends: Vec<DeviceId> = Vec::new();
    for side in pieces.soft_sides(bridge) {
        let pins = pieces.watching.iter().filter(|pin| side.contains(&pieces.of.of(**pin)));
        ends.extend(pins.filter_map(|pin| device_at(facts, *pin)));
        ends.extend(pieces.hanging(&side).into_iter().filter_map(|id| holder(facts, network[id].element()?)));
    }
    let drivers: FxHashSet<DeviceId> = stay.iter().flat_map(|contact| drivers(facts, pieces, *contact, DEPTH)).collect();
    let drives =
        |end: &DeviceId| drivers.contains(end) || drivers.iter().any(|driver| shares_signal(facts, pieces, *end, *driver));
    ends.into_iter().find(drives)
}

/// The device that sees an edge open at a pin and drives one of these contacts, or sends to what does.
pub(in crate::facts) fn seen_by(facts: &Facts, mode: &ModeState, opened: EdgeId, contacts: &[EdgeId]) -> Option<DeviceId> {
    let pieces = Pieces::new(facts, mode, &[opened]);
    if pieces.reach(opened) == Reach::Ring {
        return None;
    }
    watched(facts, &pieces, opened, contacts)
}

/// Relays that switch relays are followed up to this many.
const DEPTH: usize = 4;

/// The devices that switch the coil of a contact.
fn drivers(facts: &Facts, pieces: &Pieces<'_>, contact: EdgeId, depth: usize) -> Vec<DeviceId> {
    let (model, network) = (facts.model(), facts.network());
    let Some(relay) = network[contact].element() else { return Vec::new() };
    let relay = model[relay].kind.coil_of().unwrap_or(relay);
    let coil = network.edges().find(|(_, edge)| edge.element() == Some(relay) && edge.role.draws());
    let Some((_, coil)) = coil else { return Vec::new() };
    let sides = network.components(|_, edge| edge.is_metal() || edge.role.is_fuse());
    let poles = |point: PointId| sides.members(sides.of(point)).iter().any(|point| pieces.is_pole(*point));
    let mut found: Vec<DeviceId> = Vec::new();
    for side in [coil.a, coil.b].into_iter().filter(|side| !poles(*side)) {
        for point in sides.members(sides.of(side)) {
            let is_output = matches!(model.role_at(*point), Some(Role::Output | Role::Bidirectional));
            found.extend(device_at(facts, *point).filter(|_| is_output));
            let switched =
                |(id, edge, _): &(EdgeId, &Edge, PointId)| edge.role.is_switched() && pieces.bridges.binary_search(id).is_err();
            for (id, edge, _) in network.around(*point).filter(switched) {
                found.extend(edge.element().and_then(|element| holder(facts, element)));
                if edge.role.is_relay_contact() && depth > 0 && id != contact {
                    found.extend(drivers(facts, pieces, id, depth - 1));
                }
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}
