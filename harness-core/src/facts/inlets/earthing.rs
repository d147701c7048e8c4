//! What the protective earth of an inlet is joined to: over metal, and through the conductive cases of boxes, which no element draws.

use crate::{
    electrical::what_if::Change,
    facts::Facts,
    model::{DeviceId, PointId},
    network::NetId,
    quantity::Ohm,
    vocabulary::{Case, Role},
};
use rustc_hash::FxHashSet;

/// Resistance of a joint through a case: far below anything that is measured at a signal contact.
const JOINT: f64 = 1e-3;

/// What a protective earth is joined to.
#[derive(Debug, Default)]
pub struct Earthing {
    /// The nets, up to the chassis.
    pub nets: FxHashSet<NetId>,
    /// Pairs of earth points that a conductive case joins on the way.
    pub joints: Vec<(PointId, PointId)>,
    /// Whether the chassis is among them.
    pub reaches_chassis: bool,
    /// A pin of another box without a role and with nothing drawn behind it, where the chassis is not reached.
    pub open_end: Option<PointId>,
}

impl Earthing {
    /// The joints as they are to a circuit.
    pub fn outside(&self) -> impl Iterator<Item = Change> + '_ {
        self.joints.iter().map(|(one, other)| Change::Joined(*one, *other, Ohm::new(JOINT)))
    }
}

pub(super) fn of(facts: &Facts, earth: PointId, inlet: DeviceId) -> Earthing {
    let (model, network) = (facts.model(), facts.network());
    let chassis = || {
        let devices = model.devices().filter(|(_, device)| device.chassis && device.fitted);
        devices.flat_map(|(_, device)| model.points_of(device)).next()
    };
    let is_chassis = |at: PointId| model.device_at(at).is_some_and(|device| model[device].chassis && model[device].fitted);
    let mut found = Earthing::default();
    let mut waiting = vec![earth];
    let mut seen: FxHashSet<DeviceId> = FxHashSet::default();
    while let Some(from) = waiting.pop() {
        let net = network.net(from);
        if !found.nets.insert(net) {
            continue;
        }
        let points = network.net_points(net);
        if points.iter().any(|at| is_chassis(*at)) {
            found.reaches_chassis = true;
            break;
        }
        for at in points.iter().copied().filter(|at| is_earth(facts, *at)) {
            let Some(device) = model.device_at(at).filter(|device| seen.insert(*device)) else { continue };
            let others: Vec<PointId> = match model[device].case.map(|case| case.value) {
                Some(Case::Insulating) => Vec::new(),
                Some(Case::Mounted) => chassis().into_iter().collect(),
                Some(Case::Conductive) | None => {
                    model.points_of(&model[device]).filter(|other| is_earth(facts, *other)).collect()
                }
            };
            for other in others.into_iter().filter(|other| network.net(*other) != net) {
                found.joints.push((at, other));
                waiting.push(other);
            }
        }
    }
    if !found.reaches_chassis && chassis().is_some() {
        found.open_end = open_end(facts, &found, inlet);
    }
    found
}

/// The first pin on the nets, of another box, of which neither its role nor what is behind it is stated.
fn open_end(facts: &Facts, earthing: &Earthing, inlet: DeviceId) -> Option<PointId> {
    let (model, network) = (facts.model(), facts.network());
    let mut nets: Vec<NetId> = earthing.nets.iter().copied().collect();
    nets.sort_unstable();
    let is_open = |at: &PointId| {
        let device = model.device_at(*at).filter(|device| *device != inlet);
        let is_bare = network.around(*at).all(|(_, edge, _)| edge.element().is_none());
        let is_plastic = |device: DeviceId| model[device].case.is_some_and(|case| case.value == Case::Insulating);
        is_bare && model.role_at(*at).is_none() && device.is_some_and(|device| !is_plastic(device))
    };
    nets.into_iter().flat_map(|net| network.net_points(net)).copied().find(is_open)
}

fn is_earth(facts: &Facts, point: PointId) -> bool {
    matches!(facts.model().role_at(point), Some(Role::Earth | Role::Chassis))
}
