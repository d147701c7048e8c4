//! The wires between a gate, the inlet and their supplies.

use super::decides;
use crate::{
    facts::{Facts, inlets::ChargingInlet},
    model::{DeviceId, ModeId, PointId, WireId},
    network::{Edge, EdgeId, Network, Walk},
    standards::charging_inlet::InletContact,
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

/// What a pin of a gate is joined to outside its box, up to supplies and returns: over wires, contacts and resistors.
pub(in crate::facts) fn region(facts: &Facts, pin: PointId) -> Walk {
    let (model, network) = (facts.model(), facts.network());
    let own = model.device_at(pin);
    network.walk_along([pin], |from, _, edge| {
        let passes = edge.role.conducts_when_closed() || edge.role.leads_measurement();
        passes && !is_inside(facts, own, edge) && (from == pin || !is_rail(facts, from))
    })
}

/// Whether an edge is inside a device.
fn is_inside(facts: &Facts, device: Option<DeviceId>, edge: &Edge) -> bool {
    let model = facts.model();
    device.is_some() && edge.element().is_some() && model.device_at(edge.a) == device && model.device_at(edge.b) == device
}

/// Whether a point is at a pole of a source, at the chassis, or on the conductor of a supply or return.
pub(in crate::facts) fn is_rail(facts: &Facts, point: PointId) -> bool {
    let (model, network) = (facts.model(), facts.network());
    let is_supply = |role: Role| role.gives_supply() || (role.takes_back() && role != Role::SensorReturn);
    network.net_points(network.net(point)).iter().any(|at| {
        facts.pins().is_pole(*at)
            || model.device_at(*at).is_some_and(|device| model[device].chassis)
            || model.role_at(*at).is_some_and(is_supply)
    })
}

/// The wires whose opening is tried for a pin, with their edges: those of its region and of the coils whose contacts are on the way, and, of a mode,
/// those from there to the poles that supply it. The wires of the inlet's protective earth are left out.
pub(in crate::facts) fn between(
    facts: &Facts,
    inlet: &ChargingInlet,
    mode: Option<ModeId>,
    pin: PointId,
) -> Vec<(EdgeId, WireId)> {
    let (network, model) = (facts.network(), facts.model());
    let earths = earth_wires(facts, inlet);
    let state = mode.and_then(|mode| facts.electrical().in_mode(mode));
    let mut starts = vec![pin];
    let mut seen: FxHashSet<PointId> = FxHashSet::default();
    let mut boxes: FxHashSet<DeviceId> = FxHashSet::default();
    let mut found: Vec<EdgeId> = Vec::new();
    while let Some(start) = starts.pop() {
        if !seen.insert(start) {
            continue;
        }
        let walk = region(facts, start);
        for point in walk.reached() {
            if let Some(came) = walk.came(*point) {
                found.push(came.by);
            }
            if let Some(state) = state.filter(|_| *point != start && is_rail(facts, *point)) {
                found.extend(supply(facts, *point, |id| state.conducts(id)));
            }
            // So does the supply of a box that decides.
            let decider =
                model.device_at(*point).filter(|device| *device != inlet.device && state.is_some() && decides(facts, *device));
            if let (Some(device), Some(state)) = (decider.filter(|device| boxes.insert(*device)), state) {
                let is_fed = |at: &PointId| model.role_at(*at).is_some_and(|role| role == Role::Supply || role.takes_back());
                let is_class_b =
                    |at: &PointId| facts.electrical().domains().of(*at).is_some_and(|domain| model[domain].is_class_b());
                for at in model.points_of(&model[device]).filter(|at| is_fed(at) && !is_class_b(at)) {
                    found.extend(supply(facts, at, |id| state.conducts(id)));
                }
            }
            // The coil of a contact on the way decides too.
            for (_, edge, _) in network.around(*point).filter(|(_, edge, _)| edge.role.is_relay_contact()) {
                let Some(element) = edge.element() else { continue };
                let relay = model[element].kind.coil_of().unwrap_or(element);
                let coils = network
                    .edges()
                    .filter(|(_, edge)| edge.element() == Some(relay) && edge.role == crate::network::EdgeRole::Coil);
                starts.extend(coils.flat_map(|(_, edge)| [edge.a, edge.b]));
            }
        }
    }
    let wires = found.into_iter().filter_map(|edge| Some((edge, network[edge].wire()?)));
    let mut wires: Vec<(EdgeId, WireId)> = wires.filter(|(edge, _)| !earths.contains(edge)).collect();
    let mut known = FxHashSet::default();
    wires.retain(|(edge, _)| known.insert(*edge));
    wires
}

/// The first of all edges in series with one, with nothing between them but contacts of connectors: to open any of these is the same.
pub(in crate::facts) fn in_series(facts: &Facts, edge: EdgeId) -> EdgeId {
    let (model, network) = (facts.model(), facts.network());
    let mut least = edge;
    for start in [network[edge].a, network[edge].b] {
        let (mut came, mut at) = (edge, start);
        // What is at a pin of a box may be asked for its voltage.
        while model.device_at(at).is_none() {
            let mut others = network.around(at).filter(|(id, ..)| *id != came);
            let (Some((id, next, other)), None) = (others.next(), others.next()) else { break };
            if !next.is_metal() || id == edge {
                break;
            }
            least = least.min(id);
            (came, at) = (id, other);
        }
    }
    least
}

/// The shortest way from a rail to a pole of a source or the chassis.
fn supply(facts: &Facts, point: PointId, conducts: impl Fn(EdgeId) -> bool) -> Vec<EdgeId> {
    let (model, network) = (facts.model(), facts.network());
    let is_chassis = |at: PointId| model.device_at(at).is_some_and(|device| model[device].chassis);
    let to = |is_end: &dyn Fn(PointId) -> bool| {
        network.path(point, is_end, |id, edge| edge.role.conducts_when_closed() && conducts(id))
    };
    // A converter gives nothing by itself; where nothing else is at the rail, what leads to it decides.
    let path = to(&|at| is_chassis(at) || drives(network, at, true)).or_else(|| to(&|at| drives(network, at, false)));
    path.unwrap_or_default().into_iter().map(|step| step.edge).collect()
}

/// Whether a point is at what drives: at a source alone, or at a converter too.
fn drives(network: &Network, point: PointId, by_source: bool) -> bool {
    let is_source = |edge: &Edge| edge.element().is_some_and(|element| network.model()[element].kind.is_source());
    network.around(point).any(|(_, edge, _)| edge.role.drives() && (!by_source || is_source(edge)))
}

/// The edges of the way of the inlet's protective earth to the chassis.
fn earth_wires(facts: &Facts, inlet: &ChargingInlet) -> FxHashSet<EdgeId> {
    let (model, network) = (facts.model(), facts.network());
    let earths = inlet.contacts.iter().filter(|(contact, _)| *contact == InletContact::Earth).map(|(_, point)| *point);
    let is_chassis = |at: PointId| model.device_at(at).is_some_and(|device| model[device].chassis);
    let ways = earths.filter_map(|earth| network.path(earth, is_chassis, |_, edge| edge.is_metal()));
    ways.flatten().map(|step| step.edge).collect()
}
