//! Batteries of voltage class B that stay joined to something at one pole with their contactors open.
//!
//! The idea: open every contactor. What is fed by a floating battery is then joined to it at neither pole; where it still is at one, a single
//! fault of the insulation puts the whole voltage between the chassis and what everybody takes for dead. What a box has of contacts for itself,
//! the gates of an inverter, the relay of a heater, opens nothing of the lead to it, so these count as closed.
//!
//! Where contactors clear something in both poles, one that leaves a pole joined is passed by. Where they clear nothing, they open one pole
//! alone, which is usual up to extra-low voltage. What is joined at both poles is before the contactors on purpose: a monitor, a converter that
//! has to run while they are open.
//!
//! Cost: nothing without contactors that have coils; else the points are sorted three times, with a walk for each that is found.

use super::{Facts, loops::is_contactor};
use crate::{
    model::{DeviceId, DomainId, ElementId, ElementKind, Model, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId, Step, turned},
    standards::voltage::extra_low_limit,
    vocabulary::{Demand, LoadKind, Reference, Role},
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// What stays joined to one pole of its battery, by domain and contactor, in the order of the edges.
    ///
    /// Asked by `interlock/one-pole`.
    #[must_use]
    pub fn one_poled(&self) -> Vec<OnePoled> {
        one_poled(self)
    }
}

/// What stays joined to one pole.
#[derive(Debug)]
pub struct OnePoled {
    /// The domain.
    pub domain: DomainId,
    /// The contactor that opens the other pole.
    pub contactor: ElementId,
    /// The contactor that opens this pole for others; `None` where none does.
    pub passed: Option<ElementId>,
    /// What stays joined.
    pub takers: Vec<Taker>,
    /// The point of the first that stays joined.
    pub point: PointId,
    /// From where on.
    pub start: PointId,
    /// From the battery to that point.
    pub path: Vec<Step>,
}

/// What takes from a battery or gives to it: an element, or a device that does not say what is in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Taker {
    /// A load, a converter, a capacitor, a charger.
    Element(ElementId),
    /// A device with a supply and a return.
    Device(DeviceId),
}

impl Taker {
    /// What it is called.
    #[must_use]
    pub fn name(self, model: &Model) -> String {
        match self {
            Self::Element(element) => model.element_name(element),
            Self::Device(device) => model.device_name(device).to_owned(),
        }
    }
}

/// A taker with its two poles.
struct Poles {
    taker: Taker,
    domain: DomainId,
    /// Works with what it takes: counted where contactors are in one pole alone too.
    draws: bool,
    own: Option<DeviceId>,
    at: [PointId; 2],
}

/// Resistance in ohm from which on what takes a current measures: 30 kohm pass 2 mA at 60 V; common practice, no source.
const MEASURES: f64 = 30e3;

/// What is joined with some contacts open.
struct Split {
    groups: Components,
    /// Those with a pole of cells in them.
    live: FxHashSet<GroupId>,
}

impl Split {
    fn new(facts: &Facts, cells: &FxHashSet<PointId>, is_open: impl Fn(&Edge) -> bool) -> Self {
        let groups = facts.network().components(|_, edge| edge.role.conducts_when_closed() && !is_open(edge));
        let live = cells.iter().map(|cell| groups.of(*cell)).collect();
        Self { groups, live }
    }

    /// Whether a pole reaches cells by these contacts.
    fn is_live_by(&self, pole: PointId, gates: &[[PointId; 2]]) -> bool {
        let mut reached = vec![self.groups.of(pole)];
        let mut at = 0;
        while let Some(group) = reached.get(at).copied() {
            for [one, other] in gates.iter().map(|gate| gate.map(|side| self.groups.of(side))) {
                let next = if one == group { other } else { one };
                if (one == group || other == group) && !reached.contains(&next) {
                    reached.push(next);
                }
            }
            at += 1;
        }
        reached.iter().any(|group| self.live.contains(group))
    }
}

/// The design with its contactors open.
struct Opened<'a> {
    facts: &'a Facts,
    /// Relays open, switches closed.
    by_coils: Split,
    /// Every contact open.
    by_all: Split,
    /// Boxes with cells in them.
    packs: FxHashSet<DeviceId>,
    /// The contacts of each box.
    gates: FxHashMap<DeviceId, Vec<[PointId; 2]>>,
    /// Both poles of all cells.
    cells: FxHashSet<PointId>,
}

fn one_poled(facts: &Facts) -> Vec<OnePoled> {
    let (model, network) = (facts.model(), facts.network());
    let contactors: Vec<(EdgeId, Edge)> = network
        .edges()
        .filter(|(_, edge)| edge.role.is_relay_contact() && is_contactor(facts, edge))
        .map(|(id, edge)| (id, *edge))
        .collect();
    if contactors.is_empty() {
        return Vec::new();
    }
    let cells: Vec<(PointId, PointId, Option<ElementId>)> = network
        .edges()
        .filter(|(_, edge)| edge.role.takes_charge() && floats(facts, edge.a).is_some())
        .map(|(_, edge)| (edge.a, edge.b, edge.element()))
        .collect();
    let mut gates: FxHashMap<DeviceId, Vec<[PointId; 2]>> = FxHashMap::default();
    for (_, edge) in network.edges().filter(|(_, edge)| is_contactor(facts, edge)) {
        if let Some(device) = edge.element().and_then(|element| own_device(model, element)) {
            gates.entry(device).or_default().push([edge.a, edge.b]);
        }
    }
    let packs = cells.iter().filter_map(|(.., element)| own_device(model, (*element)?)).collect();
    let cells: FxHashSet<PointId> = cells.iter().flat_map(|(a, b, _)| [*a, *b]).collect();
    let opened = Opened {
        facts,
        by_coils: Split::new(facts, &cells, |edge| edge.role.is_relay_contact() && is_contactor(facts, edge)),
        by_all: Split::new(facts, &cells, |edge| is_contactor(facts, edge)),
        packs,
        gates,
        cells,
    };
    let takers = takers(facts, &opened.cells);
    let joined: Vec<Poled> = takers.iter().map(|taker| opened.joined(taker, &opened.by_coils)).collect();
    let limit = extra_low_limit(false).value;
    let passed: Vec<Option<ElementId>> = joined.iter().map(|poled| opened.passed(&contactors, poled, &takers, &joined)).collect();
    let mut found: Vec<OnePoled> = Vec::new();
    for ((taker, poled), passed) in takers.iter().zip(joined).zip(passed) {
        let poled = if passed.is_some() {
            poled
        } else if taker.draws && model[taker.domain].max > limit {
            opened.joined(taker, &opened.by_all)
        } else {
            continue;
        };
        let Poled::One { pole, other, start, path } = poled else { continue };
        let of_domain = || contactors.iter().find(|(_, contact)| floats(facts, contact.a) == Some(taker.domain));
        let opener = opened.behind(&contactors, other).or_else(|| of_domain()?.1.element());
        let Some(contactor) = opener else { continue };
        match found.iter_mut().find(|known| known.domain == taker.domain && known.passed == passed) {
            Some(known) => {
                if !known.takers.contains(&taker.taker) {
                    known.takers.push(taker.taker);
                }
            }
            None => {
                let takers = vec![taker.taker];
                found.push(OnePoled { domain: taker.domain, contactor, passed, takers, point: pole, start, path });
            }
        }
    }
    found
}

/// At which poles a taker is still joined to cells.
enum Poled {
    Neither,
    Both,
    One { pole: PointId, other: PointId, start: PointId, path: Vec<Step> },
}

impl Opened<'_> {
    /// The pole at which a taker is still joined to cells, contacts of its own box closed, with the way there.
    fn joined(&self, taker: &Poles, open: &Split) -> Poled {
        let network = self.facts.network();
        let direct = taker.at.map(|pole| open.live.contains(&open.groups.of(pole)));
        let own = taker.own.filter(|device| direct == [false, false] && !self.packs.contains(device));
        let gates = own.and_then(|device| self.gates.get(&device)).map_or(&[][..], Vec::as_slice);
        let live = if gates.is_empty() { direct } else { taker.at.map(|pole| open.is_live_by(pole, gates)) };
        let (pole, other) = match (live, taker.at) {
            ([true, true], _) => return Poled::Both,
            ([false, false], _) => return Poled::Neither,
            ([true, false], [pole, other]) | ([false, true], [other, pole]) => (pole, other),
        };
        let is_own =
            |edge: &Edge| own.is_some() && edge.element().and_then(|element| own_device(self.facts.model(), element)) == own;
        let leads = |_: EdgeId, edge: &Edge| {
            edge.role.conducts_when_closed() && (open.groups.of(edge.a) == open.groups.of(edge.b) || is_own(edge))
        };
        let (start, path) = turned(pole, &network.path(pole, |at| self.cells.contains(&at), leads).unwrap_or_default());
        Poled::One { pole, other, start, path }
    }

    /// The contactor that a taker at one pole goes past: it opens that pole for as many boxes, cleared at both poles, as stay joined there.
    fn passed(&self, contactors: &[(EdgeId, Edge)], poled: &Poled, takers: &[Poles], joined: &[Poled]) -> Option<ElementId> {
        let Poled::One { start, .. } = poled else { return None };
        let pole = self.by_coils.groups.of(*start);
        let of = |is_meant: &dyn Fn(&Poles, &Poled) -> bool| {
            let meant = takers.iter().zip(joined).filter(|(taker, poled)| is_meant(taker, poled));
            let boxes: FxHashSet<Result<DeviceId, Taker>> = meant.map(|(taker, _)| taker.own.ok_or(taker.taker)).collect();
            boxes.len()
        };
        let staying = of(&|_, poled| matches!(poled, Poled::One { start, .. } if self.by_coils.groups.of(*start) == pole));
        let mut best: Option<(usize, ElementId)> = None;
        for (_, edge) in contactors {
            let far = match [self.by_coils.groups.of(edge.a), self.by_coils.groups.of(edge.b)] {
                [near, far] if near == pole && far != pole => far,
                [far, near] if near == pole && far != pole => far,
                _ => continue,
            };
            let Some(element) = edge.element() else { continue };
            let is_behind = |taker: &Poles| taker.at.iter().any(|at| self.by_coils.groups.of(*at) == far);
            let reached = of(&|taker, poled| matches!(poled, Poled::Neither) && is_behind(taker));
            if reached > best.map_or(0, |(most, _)| most) {
                best = Some((reached, element));
            }
        }
        best.filter(|(reached, _)| *reached >= staying).map(|(_, element)| element)
    }

    /// The contactor behind which a point is.
    fn behind(&self, contactors: &[(EdgeId, Edge)], point: PointId) -> Option<ElementId> {
        let own = self.by_coils.groups.of(point);
        let at = |edge: &Edge, wanted: GroupId| [edge.a, edge.b].iter().any(|side| self.by_coils.groups.of(*side) == wanted);
        let live = |edge: &Edge| [edge.a, edge.b].iter().any(|side| self.by_coils.live.contains(&self.by_coils.groups.of(*side)));
        let found = contactors.iter().find(|(_, edge)| at(edge, own) && live(edge));
        found.or_else(|| contactors.iter().find(|(_, edge)| at(edge, own))).and_then(|(_, edge)| edge.element())
    }
}

/// The domain of a point, if it is of voltage class B, floats and is not alternating.
pub(super) fn floats(facts: &Facts, point: PointId) -> Option<DomainId> {
    let model = facts.model();
    facts.electrical().domains().of(point).filter(|domain| {
        let domain = &model[*domain];
        domain.is_class_b() && !domain.ac && domain.reference == Reference::Floating
    })
}

fn own_device(model: &Model, element: ElementId) -> Option<DeviceId> {
    model[element].owner.device()
}

/// What is fed by floating batteries of class B at both poles once all contacts are closed, in the order of the edges and then of the devices.
fn takers(facts: &Facts, cells: &FxHashSet<PointId>) -> Vec<Poles> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let closed = network.components(|_, edge| edge.role.conducts_when_closed());
    let fed: FxHashSet<GroupId> = cells.iter().map(|cell| closed.of(*cell)).collect();
    let chassis: FxHashSet<GroupId> = model
        .devices()
        .filter(|(_, device)| device.chassis && device.fitted)
        .flat_map(|(_, device)| model.points_of(device))
        .map(|point| closed.of(point))
        .collect();
    // Between two poles: not across a contact, and not from one pole to the chassis.
    let is_between = |at: [PointId; 2]| {
        let [one, other] = at.map(|point| closed.of(point));
        one != other && [one, other].iter().all(|group| fed.contains(group) && !chassis.contains(group))
    };
    let mut found: Vec<Poles> = Vec::new();
    for (_, edge) in network.edges() {
        let role = edge.role;
        let counts = role.draws() || role == EdgeRole::Capacitor || (role.drives() && !role.takes_charge());
        let Some(element) = edge.element().filter(|_| counts) else { continue };
        let at = [edge.a, edge.b];
        let Some(domain) = floats(facts, edge.a).or_else(|| floats(facts, edge.b)) else { continue };
        if at.iter().any(|point| domains.of(*point).is_some_and(|own| own != domain)) || !is_between(at) {
            continue;
        }
        let own = own_device(model, element);
        if !measures(&model[element].kind, model[domain].max.get()) {
            found.push(Poles { taker: Taker::Element(element), domain, draws: role.draws(), own, at });
        }
    }
    let is_of_battery = |points: &[PointId]| points.iter().any(|point| floats(facts, *point).is_some());
    let drawn = model.elements().filter(|(_, element)| is_of_battery(&element.points));
    let filled: FxHashSet<DeviceId> = drawn.filter_map(|(id, _)| own_device(model, id)).collect();
    for (device, item) in model.devices().filter(|(id, device)| device.fitted && !device.chassis && !filled.contains(id)) {
        let with = |role: Role| {
            model.points_of(item).find(|point| model.role_at(*point) == Some(role) && floats(facts, *point).is_some())
        };
        let (Some(plus), Some(minus)) = (with(Role::Supply), with(Role::Return)) else { continue };
        let at = [plus, minus];
        if let Some(domain) = floats(facts, plus).filter(|domain| floats(facts, minus) == Some(*domain) && is_between(at)) {
            found.push(Poles { taker: Taker::Device(device), domain, draws: false, own: Some(device), at });
        }
    }
    found
}

/// Whether it takes no more than a measurement does.
fn measures(kind: &ElementKind, volts: f64) -> bool {
    let ElementKind::Load { demand, kind, .. } = kind else { return false };
    let amperes = match demand.value {
        Demand::Current(current) => current.get(),
        Demand::Power(power) => power.get() / volts,
    };
    *kind == Some(LoadKind::Sensor) || amperes * MEASURES <= volts
}
