//! Poles of sources, and pins that contacts and fuses join to one, whose role is that of the other pole.

use super::{Facts, pins::PinAt};
use crate::{
    model::{ElementId, PointId, PointKind},
    network::{Edge, EdgeId, EdgeRole, GroupId, NetId},
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

/// A pin of a return that only the positive pole of a source reaches.
#[derive(Debug, Clone, Copy)]
pub struct FedReturn {
    /// The pin.
    pub pin: PinAt,
    /// The source.
    pub source: ElementId,
}

impl Facts {
    /// Pins of role `return` or `sensor return` that closed conductors and fuses join to the positive pole of a source in some mode, and
    /// to a negative pole in none.
    ///
    /// What is on one conductor with a supply is a clash of roles, and a design that earths its positive poles is left out. Cost: a pass
    /// over the points for each mode. Asked by `netlist/role-conflict`.
    #[must_use]
    pub fn fed_returns(&self) -> Vec<FedReturn> {
        fed_returns(self)
    }
}

fn fed_returns(facts: &Facts) -> Vec<FedReturn> {
    let (model, network, pins) = (facts.model(), facts.network(), facts.pins());
    let takes_back = |point: PointId| matches!(model.role_at(point), Some(Role::Return | Role::SensorReturn));
    let sources: Vec<(EdgeId, Edge)> =
        network.edges().filter(|(_, edge)| edge.role.drives()).map(|(id, edge)| (id, *edge)).collect();
    if sources.iter().any(|(_, edge)| takes_back(edge.b)) {
        return Vec::new();
    }
    let is_ac = |point: PointId| facts.electrical().domains().of(point).is_some_and(|domain| model[domain].ac);
    let clashing: FxHashSet<NetId> = facts.role_clashes().iter().map(|clash| clash.net).collect();
    let of_devices = || pins.nets().flat_map(|net| pins.of(net));
    let candidates: Vec<PinAt> = of_devices()
        .filter(|pin| takes_back(pin.point) && !is_ac(pin.point) && !clashing.contains(&network.net(pin.point)))
        .filter(|pin| !model[pin.device].chassis)
        .copied()
        .collect();
    let mut fed: FxHashMap<PointId, EdgeId> = FxHashMap::default();
    let mut grounded: FxHashSet<PointId> = FxHashSet::default();
    for mode in facts.electrical().modes() {
        let conducts =
            |id: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode && mode.conducts(id);
        let lumps = network.components(conducts);
        let mut positive: FxHashMap<GroupId, EdgeId> = FxHashMap::default();
        let mut negative: FxHashSet<GroupId> = FxHashSet::default();
        for (id, edge) in sources.iter().filter(|(id, edge)| mode.conducts(*id) && !mode.is_shorted(edge.a)) {
            positive.entry(lumps.of(edge.b)).or_insert(*id);
            negative.insert(lumps.of(edge.a));
        }
        for pin in &candidates {
            let lump = lumps.of(pin.point);
            if negative.contains(&lump) {
                grounded.insert(pin.point);
            } else if let Some(source) = positive.get(&lump) {
                fed.entry(pin.point).or_insert(*source);
            }
        }
    }
    // A load between two returns is fed by one of them, though it may be a return to others, as the middle of two batteries is.
    let by_load = between_returns(facts, &candidates);
    let fed_by = |pin: &PinAt| match fed.get(&pin.point).filter(|_| !grounded.contains(&pin.point)) {
        Some(source) => Some(*source),
        None => by_load.get(&pin.point).copied(),
    };
    let found = candidates.iter().filter_map(|pin| Some(FedReturn { pin: *pin, source: network[fed_by(pin)?].element()? }));
    found.collect()
}

/// Voltage in V from which a load between two returns is fed.
const FED: f64 = 1.0;

/// The higher side of each load that is between two pins of returns and has a voltage, with the source that is there.
fn between_returns(facts: &Facts, candidates: &[PinAt]) -> FxHashMap<PointId, EdgeId> {
    let network = facts.network();
    let returns: FxHashSet<PointId> = candidates.iter().map(|pin| pin.point).collect();
    let between = |edge: &Edge| edge.role.draws() && returns.contains(&edge.a) && returns.contains(&edge.b);
    let loads: Vec<Edge> = network.edges().filter(|(_, edge)| between(edge)).map(|(_, edge)| *edge).collect();
    let mut found: FxHashMap<PointId, EdgeId> = FxHashMap::default();
    if loads.is_empty() {
        return found;
    }
    for mode in facts.electrical().modes() {
        let conducts = |id: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && mode.conducts(id);
        let lumps = network.components(conducts);
        for load in &loads {
            let volts = mode.volts(load.a).get() - mode.volts(load.b).get();
            let high = if volts > 0.0 { load.a } else { load.b };
            let mut sources = network
                .edges()
                .filter(|(id, edge)| edge.role.drives() && mode.conducts(*id) && lumps.of(edge.b) == lumps.of(high));
            if let Some((source, _)) = sources.next().filter(|_| volts.abs() >= FED) {
                found.entry(high).or_insert(source);
            }
        }
    }
    found
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
