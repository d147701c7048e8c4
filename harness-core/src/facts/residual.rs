//! Loads and sockets that are fed from before every residual-current device, in a design that has one for their mains.
//!
//! The idea: take the poles of all residual-current devices out of the network. A load both of whose sides are then still joined to the source is before them;
//! one of which neither is, is behind one. It is asked only where something is behind one: then protection was intended.
//!
//! Cost: nothing where no residual-current device is stated; else two searches of the network and a pass over the loads for each source.

use super::{
    Facts,
    borrowed_neutrals::{User, users},
};
use crate::{
    electrical::conductors::drop::load_kind,
    model::{DeviceId, ElementId, Owner, PointId},
    vocabulary::{LoadKind, Role},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// What is fed from before all residual-current devices of its mains, in the order of the sources.
    ///
    /// Asked by `protection/before-residual-device`.
    #[must_use]
    pub fn before_residual(&self) -> &[BeforeResidual] {
        self.made.before_residual.get_or_init(|| before_residual(self))
    }
}

/// Loads and sockets of the mains of a vehicle whose design states no residual-current device, in their order: whether they have one is not known.
#[must_use]
pub(super) fn unknown_protection(facts: &Facts) -> Vec<User> {
    let model = facts.model();
    if !model.residual.is_empty()
        || facts.mains().is_empty()
        || !model.devices().any(|(_, device)| device.chassis && device.fitted)
    {
        return Vec::new();
    }
    let network = facts.network();
    let whole = network.components(|_, edge| edge.role.conducts_when_closed());
    let poles: Vec<PointId> = facts.mains().into_iter().flat_map(|(id, _)| [network[id].a, network[id].b]).collect();
    let is_fed = |point: PointId| poles.iter().any(|pole| whole.of(*pole) == whole.of(point));
    // A lamp and a motor that are wired for good need none in most installations.
    let is_wired = |user: &User| {
        let kind = user.load.and_then(|load| load_kind(&model[load].kind));
        matches!(kind, Some(LoadKind::Lamp | LoadKind::Motor))
    };
    let users = users(facts).into_iter().filter(|user| is_fed(user.line) && is_fed(user.neutral));
    users.filter(|user| counts(facts, user) && !is_wired(user)).collect()
}

/// A load or socket that no residual-current device protects.
#[derive(Debug)]
pub struct BeforeResidual {
    /// The load or socket.
    pub user: User,
    /// What feeds it.
    pub source: ElementId,
    /// A pole of the residual-current device that others are behind.
    pub pole: ElementId,
    /// How many others are behind one.
    pub behind: usize,
}

fn before_residual(facts: &Facts) -> Vec<BeforeResidual> {
    let (model, network) = (facts.model(), facts.network());
    let poles: FxHashSet<ElementId> = model.residual.iter().flat_map(|group| &group.poles).map(|(pole, _)| *pole).collect();
    if poles.is_empty() {
        return Vec::new();
    }
    let whole = network.components(|_, edge| edge.role.conducts_when_closed());
    let without = network
        .components(|_, edge| edge.role.conducts_when_closed() && edge.element().is_none_or(|element| !poles.contains(&element)));
    let users = users(facts);
    let mut found: Vec<BeforeResidual> = Vec::new();
    for (id, _) in facts.mains() {
        let edge = network[id];
        let Some(source) = edge.element() else { continue };
        let sides = [edge.a, edge.b];
        let is_fed = |point: PointId| sides.iter().any(|pole| whole.of(*pole) == whole.of(point));
        let is_before = |point: PointId| sides.iter().any(|pole| without.of(*pole) == without.of(point));
        let fed = |user: &&User| is_fed(user.line) && is_fed(user.neutral) && whole.of(user.line) != whole.of(user.neutral);
        let (before, rest): (Vec<&User>, Vec<&User>) =
            users.iter().filter(fed).partition(|user| is_before(user.line) && is_before(user.neutral));
        let behind = rest.iter().filter(|user| !is_before(user.line) && !is_before(user.neutral)).count();
        let pole = network.edges().find_map(|(_, edge)| edge.element().filter(|it| poles.contains(it) && is_fed(edge.a)));
        let Some(pole) = pole.filter(|_| behind > 0) else { continue };
        for user in before.into_iter().filter(|user| counts(facts, user)) {
            if !found.iter().any(|known| known.user == *user) {
                found.push(BeforeResidual { user: *user, source, pole, behind });
            }
        }
    }
    found
}

/// Whether a residual-current device may be expected before it: not for what is in the box of switchgear, such as its lamps and surge arresters, for
/// what brings in the mains, for a box that only passes them on, nor for a charger, which may have one of its own type.
fn counts(facts: &Facts, user: &User) -> bool {
    let (model, network) = (facts.model(), facts.network());
    let Some(device) = model.device_at(user.line) else { return false };
    let is_of = |device: DeviceId, role: fn(crate::network::EdgeRole) -> bool| {
        network.edges().any(|(_, edge)| {
            role(edge.role) && edge.element().is_some_and(|element| model[element].owner == Owner::Device(device))
        })
    };
    let is_switchgear = is_of(device, |role| role.is_switched() || role.is_fuse());
    let is_source = network.edges().any(|(_, edge)| edge.role.drives() && model.device_at(edge.a) == Some(device));
    let is_lamp = user.load.is_some_and(|load| load_kind(&model[load].kind) == Some(LoadKind::Lamp));
    if is_source || is_switchgear && (is_lamp || user.load.is_none()) {
        return false;
    }
    // A socket or a bought box is where one wire ends; an inlet or a terminal box has a second one at its line, or a second line.
    let lines = model.points_of(&model[device]).filter(|point| model.role_at(*point) == Some(Role::Line)).count();
    user.load.is_some() || lines == 1 && wires_at(facts, user.line) == 1
}

fn wires_at(facts: &Facts, point: PointId) -> usize {
    facts
        .network()
        .around(point)
        .filter(|(_, edge, _)| edge.role.is_place())
        .map(|(_, _, other)| facts.wire_ends().count(other))
        .sum()
}
