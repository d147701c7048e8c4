//! Poles of sources whose pin has the role of the other pole.

use super::{Facts, pins::PinAt};
use crate::{
    model::{ElementId, PointId, PointKind},
    network::NetId,
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Pins at a pole of a source or converter output in their own device whose role is that of the other pole.
    ///
    /// Where both poles have the role of the other, the positive one is earthed on purpose; where cells are in series, their common
    /// pin is both. Cost: linear in the elements. Asked by `netlist/role-conflict`.
    #[must_use]
    pub fn pole_roles(&self) -> &[PoleRole] {
        self.made.pole_roles.get_or_init(|| pole_roles(self))
    }
}

/// A pole whose pin has the role of the other one.
#[derive(Debug, Clone, Copy)]
pub struct PoleRole {
    /// The pin.
    pub pin: PinAt,
    /// The source or converter.
    pub source: ElementId,
    /// It is the positive pole.
    pub positive: bool,
}

fn pole_roles(facts: &Facts) -> Vec<PoleRole> {
    let (model, network, pins) = (facts.model(), facts.network(), facts.pins());
    let drives = || network.edges().filter(|(_, edge)| edge.role.drives());
    let positive: FxHashSet<NetId> = drives().map(|(_, edge)| network.net(edge.b)).collect();
    let negative: FxHashSet<NetId> = drives().map(|(_, edge)| network.net(edge.a)).collect();
    // A clash with another pin was reported, with both.
    let reported: FxHashSet<PointId> =
        facts.role_clashes().iter().flat_map(|clash| [clash.one.point, clash.other.point]).collect();
    let pin_at = |point: PointId| {
        let device = model.device_at(point)?;
        pins.of_device(device).iter().find(|pin| pin.point == point).copied()
    };
    // Of modules in series one that is turned round is the battery's fault.
    let mut at: FxHashMap<NetId, usize> = FxHashMap::default();
    for (_, edge) in drives() {
        for point in [edge.a, edge.b] {
            *at.entry(network.net(point)).or_default() += 1;
        }
    }
    let is_module = |point: PointId| matches!(model[point].kind, PointKind::Node(_)) && at.get(&network.net(point)) > Some(&1);
    let mut found: Vec<PoleRole> = Vec::new();
    for (_, edge) in drives().filter(|(_, edge)| !is_module(edge.a) && !is_module(edge.b)) {
        let Some(source) = edge.element() else { continue };
        let (plus, minus) = (model.role_at(edge.b), model.role_at(edge.a));
        let gives = |role: Option<Role>| role.is_some_and(|role| role.gives_supply() || role == Role::Output);
        let takes_back = |role: Option<Role>| role.is_some_and(Role::takes_back);
        for (point, is_odd, other_nets) in
            [(edge.b, takes_back(plus) && !gives(minus), &negative), (edge.a, gives(minus) && !takes_back(plus), &positive)]
        {
            let is_shared = other_nets.contains(&network.net(point));
            let Some(pin) = pin_at(point).filter(|_| is_odd && !is_shared && !reported.contains(&point)) else { continue };
            if found.iter().all(|known| known.pin.point != point) {
                found.push(PoleRole { pin, source, positive: point == edge.b });
            }
        }
    }
    found
}
