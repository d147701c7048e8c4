//! What is live of the contacts that can be touched: between which two of them, or between which and the chassis, more than the limit of voltage
//! class A is, from which source and by which way.
//!
//! The idea: what conducts in a state sorts the points into islands. Two contacts of one island have the voltage that was computed; two of
//! different islands have none against each other as long as the insulation of both holds. So a floating system counts between its own
//! contacts alone, and one that is joined to the chassis, or whose domain says that it is, counts against the chassis too. A resistor of so many
//! ohms per volt that it counts as insulation joins nothing.
//!
//! Cost: a pass over the edges, and a walk for each contact that is found.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::ModeState,
    model::{DeviceId, ElementId, ElementKind, PointId, PointKind},
    network::{Components, Edge, GroupId, Step, turned},
    quantity::Volt,
    standards::voltage::{class_a_limit, isolation_per_volt_ac},
    vocabulary::Reference,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// The contacts among `exposed` that are above the limit of class A in a state, each with the contact against which it has the most; the
    /// highest first. A contact that is the other one of a pair is not listed again.
    ///
    /// Asked by `domain/live-when-open` and `harness live`.
    #[must_use]
    pub fn live_among(&self, state: &ModeState, exposed: &[PointId]) -> Vec<LivePair> {
        live_among(self, state, exposed)
    }

    /// The two points of each device with the most voltage between them in a state, where that is above the limit of class A, by island; in the
    /// order of the devices. They are inside, whoever opens the box gets at them.
    ///
    /// Asked by `harness live`.
    #[must_use]
    pub fn live_inside(&self, state: &ModeState) -> Vec<LivePair> {
        live_inside(self, state)
    }
}

/// A contact that is above the limit of class A.
#[derive(Debug, Clone)]
pub struct LivePair {
    /// The contact.
    pub contact: PointId,
    /// Against which other one; `None` for the chassis.
    pub other: Option<PointId>,
    /// The voltage between them.
    pub volts: Volt,
    /// Alternating voltage.
    pub is_ac: bool,
    /// The source from which it comes, and the way from its pole to the contact.
    pub from: Option<(ElementId, PointId, Vec<Step>)>,
}

impl LivePair {
    /// The limit that it is above.
    #[must_use]
    pub fn limit(&self) -> Volt {
        class_a_limit(self.is_ac).value
    }
}

/// What conducts in a state, insulation and measuring resistors left out.
pub(super) fn islands(facts: &Facts, state: &ModeState) -> Components {
    let (model, network) = (facts.model(), facts.network());
    let domains = facts.electrical().domains();
    let insulates = |edge: &Edge| {
        let Some(ElementKind::Resistor(ohms)) = edge.element().map(|element| &model[element].kind) else { return false };
        let volts = domains.of(edge.a).or_else(|| domains.of(edge.b)).map_or(0.0, |domain| model[domain].max.get());
        volts > 0.0 && ohms.ohm.value.get() >= isolation_per_volt_ac().value.get() * volts
    };
    network.components(|id, edge| state.conducts(id) && edge.role.is_galvanic() && !insulates(edge))
}

/// Whether either point is of a domain of alternating voltage.
fn is_ac(facts: &Facts, points: &[PointId]) -> bool {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    points.iter().any(|point| domains.of(*point).is_some_and(|domain| model[domain].ac))
}

/// Whether a voltage is above the limit of class A: as computed, or as it can be at the highest voltage of a domain of class B.
fn is_above(facts: &Facts, volts: f64, points: &[PointId]) -> bool {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let limit = class_a_limit(is_ac(facts, points)).value.get();
    let stretch = points
        .iter()
        .filter_map(|point| domains.of(*point))
        .filter(|domain| model[*domain].is_class_b() && model[*domain].nominal.get() > 0.0)
        .map(|domain| model[domain].max.get() / model[domain].nominal.get())
        .fold(1.0, f64::max);
    volts * stretch > limit * (1.0 + ROUNDING)
}

/// Share by which a computed voltage may be off.
const ROUNDING: f64 = 1e-9;

/// A contact with its voltage.
struct At {
    point: PointId,
    volts: f64,
}

fn live_among(facts: &Facts, state: &ModeState, exposed: &[PointId]) -> Vec<LivePair> {
    let (model, network) = (facts.model(), facts.network());
    if exposed.is_empty() {
        return Vec::new();
    }
    let islands = islands(facts, state);
    let chassis: FxHashMap<GroupId, PointId> = model
        .devices()
        .filter(|(_, device)| device.chassis && device.fitted)
        .flat_map(|(_, device)| model.points_of(device))
        .map(|point| (islands.of(point), point))
        .collect();
    // One contact for each place: a ring and its stud are one.
    let places = network.components(|id, edge| state.conducts(id) && edge.is_metal() && edge.wire().is_none());
    let mut seen: FxHashSet<GroupId> = FxHashSet::default();
    let mut by_island: Vec<(GroupId, Vec<At>)> = Vec::new();
    let mut index: FxHashMap<GroupId, usize> = FxHashMap::default();
    for point in exposed.iter().filter(|point| seen.insert(places.of(**point))) {
        let island = islands.of(*point);
        let at = *index.entry(island).or_insert_with(|| {
            by_island.push((island, Vec::new()));
            by_island.len() - 1
        });
        if let Some((_, list)) = by_island.get_mut(at) {
            list.push(At { point: *point, volts: state.volts(*point).get() });
        }
    }
    let mut found: Vec<LivePair> = Vec::new();
    for (island, contacts) in &by_island {
        found.extend(pairs_of(facts, state, contacts, chassis.get(island).copied()));
    }
    found.sort_by(|one, other| other.volts.get().total_cmp(&one.volts.get()).then(one.contact.cmp(&other.contact)));
    for pair in &mut found {
        pair.from = source_of(facts, state, &islands, pair.contact);
    }
    found
}

/// The pairs of one island.
fn pairs_of(facts: &Facts, state: &ModeState, contacts: &[At], chassis: Option<PointId>) -> Vec<LivePair> {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let by_volts = |one: &&At, other: &&At| one.volts.total_cmp(&other.volts);
    let (Some(low), Some(high)) = (contacts.iter().min_by(by_volts), contacts.iter().max_by(by_volts)) else {
        return Vec::new();
    };
    let mut pairs: Vec<LivePair> = Vec::new();
    for at in contacts {
        let far = if (at.volts - low.volts).abs() >= (high.volts - at.volts).abs() { low } else { high };
        let across = (at.volts - far.volts).abs();
        let is_referenced = domains.of(at.point).is_some_and(|domain| model[domain].reference != Reference::Floating);
        let against = match chassis {
            Some(chassis) => Some((at.volts - state.volts(chassis).get()).abs()),
            None => is_referenced.then_some(at.volts.abs()),
        };
        // Against the chassis, which is always at hand, unless another contact gives more.
        let (other, volts) = match against {
            Some(against) if against >= across => (None, against),
            _ => (Some(far.point), across),
        };
        let points: Vec<PointId> = [Some(at.point), other].into_iter().flatten().collect();
        let is_known = |pair: &LivePair| other == Some(pair.contact) && pair.other == Some(at.point);
        if is_above(facts, volts, &points) && !pairs.iter().any(is_known) {
            let is_ac = is_ac(facts, &points);
            pairs.push(LivePair { contact: at.point, other, volts: Volt::new(volts), is_ac, from: None });
        }
    }
    pairs
}

/// The source from which a point is live, the pole of it, and the way from there.
fn source_of(facts: &Facts, state: &ModeState, islands: &Components, point: PointId) -> Option<(ElementId, PointId, Vec<Step>)> {
    let network = facts.network();
    let own = islands.of(point);
    let mut poles: FxHashMap<PointId, ElementId> = FxHashMap::default();
    for (id, edge) in network.edges().filter(|(id, edge)| edge.role.drives() && state.conducts(*id) && islands.of(edge.a) == own)
    {
        let Some(source) = network[id].element() else { continue };
        // The positive pole of a source is its second point.
        poles.entry(edge.b).or_insert(source);
        poles.entry(edge.a).or_insert(source);
    }
    let keep = |id, edge: &Edge| state.conducts(id) && !edge.role.drives() && islands.of(edge.a) == own;
    let goal = |at: PointId| poles.contains_key(&at);
    // By closed conductors if they lead there, else past what takes current.
    let direct = network.path(point, goal, |id, edge| keep(id, edge) && edge.role.conducts_when_closed());
    let steps = direct.or_else(|| network.path(point, goal, keep))?;
    let (start, way) = turned(point, &steps);
    Some((*poles.get(&start)?, start, way))
}

fn live_inside(facts: &Facts, state: &ModeState) -> Vec<LivePair> {
    let model = facts.model();
    let islands = islands(facts, state);
    let mut found = Vec::new();
    let mut inside: IdVec<DeviceId, Vec<PointId>> = model.devices().map(|_| Vec::new()).collect();
    for (point, item) in model.points() {
        match item.kind {
            PointKind::Pin(port) | PointKind::Stud(port) => inside[model[port].device].push(point),
            PointKind::Node(device) => inside[device].push(point),
            PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => {}
        }
    }
    for (id, _) in model.devices().filter(|(_, device)| device.fitted && !device.chassis) {
        let mut extremes: Vec<(GroupId, At, At)> = Vec::new();
        for point in inside[id].iter().copied() {
            let (island, volts) = (islands.of(point), state.volts(point).get());
            match extremes.iter_mut().find(|(known, ..)| *known == island) {
                Some((_, low, high)) => {
                    if volts < low.volts {
                        *low = At { point, volts };
                    }
                    if volts > high.volts {
                        *high = At { point, volts };
                    }
                }
                None => extremes.push((island, At { point, volts }, At { point, volts })),
            }
        }
        for (_, low, high) in extremes {
            let (volts, points) = (high.volts - low.volts, [high.point, low.point]);
            if is_above(facts, volts, &points) {
                found.push(LivePair {
                    contact: high.point,
                    other: Some(low.point),
                    volts: Volt::new(volts),
                    is_ac: is_ac(facts, &points),
                    from: source_of(facts, state, &islands, high.point),
                });
            }
        }
    }
    found
}
