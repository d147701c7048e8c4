//! What is behind each position of one half of a connector while the connector is open: the signature by which halves are compared.
//!
//! A position is joined to a pole of a source, or it is passive: then the pins on its conductors and the loads behind it say what it takes.
//! Equal signatures have equal numbers, so that a meeting of two of them is judged once.

use super::{
    marks::Marks,
    poles::{Held, Open, Pole, Poles, contact, is_open},
};
use crate::{
    arena::IdVec,
    facts::{Facts, pins::PinAt},
    model::{DomainId, ElementId, ElementKind, EndId, PointId, WireId},
    network::{Components, Edge, GroupId, NetId, Network, Potential},
    quantity::{Ampere, Volt},
    vocabulary::{Drive, LoadKind, Role, Suppression},
};
use rustc_hash::FxHashMap;

/// The current of a source that limits itself below which a short harms no conductor of any plug: that of a sensor supply.
/// Common practice, no source.
const WEAK: f64 = 1.0;

/// Points of the conductors of a pole that are looked at for their one name.
const MOST_NAMED: usize = 64;

/// Points behind a passive position that are looked at: a conductor that no source holds is a short one.
const MOST_POINTS: usize = 512;

/// The number of a signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct KindId(u32);

/// What decides what happens where a position meets another one.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Kind {
    /// Nothing is there: a cavity without a wire, a spare pin.
    pub is_empty: bool,
    /// The pole that holds it.
    pub pole: Option<Pole>,
    /// It is held only where contacts close.
    pub is_switched: bool,
    /// Contacts join it to either pole: it is the output of a bridge.
    pub is_bridge: bool,
    /// A source feeds it past no fuse.
    pub is_unfused: bool,
    /// All sources that can feed it limit themselves, together to no more than its wires carry.
    pub is_borne: bool,
    /// The voltage that its source gives, or that what it meets in the design gives it, in mV.
    pub millivolts: Option<u32>,
    /// Nothing but contacts and conductors is drawn behind its pins: they take nothing by themselves.
    pub is_contact: bool,
    /// What its conductors are held at in the design.
    pub potential: Option<Potential>,
    /// The roles of the pins on its conductors, sorted.
    pub roles: Vec<Role>,
    /// How the outputs on its conductors drive, sorted; an output that says nothing and is drawn inside is none.
    pub drives: Vec<Option<Drive>>,
    /// The tap of a string of cells.
    pub tap: Option<u32>,
    /// The loads behind it.
    pub loads: Vec<LoadSide>,
}

/// One side of a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LoadSide {
    /// It is the side that takes the plus.
    pub is_plus: bool,
    /// It minds which way it is connected.
    pub is_polarised: bool,
    /// What it is.
    pub kind: Option<LoadKind>,
    /// The voltage that it is made for, in mV.
    pub millivolts: Option<u32>,
}

/// A position of a half.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Spot {
    /// Its point.
    pub point: PointId,
    /// Its signature.
    pub kind: KindId,
    /// The signal of the nearest pin that has one, by its number.
    pub signal: Option<u32>,
    /// Its conductors.
    pub net: NetId,
    /// Positions of the half with one number are joined behind it by something that conducts; 0 for those that are joined to none.
    pub lump: u16,
}

/// The signatures of a design.
#[derive(Debug, Default)]
pub struct Kinds {
    all: Vec<Kind>,
    numbers: FxHashMap<Kind, KindId>,
}

impl Kinds {
    fn number(&mut self, kind: Kind) -> KindId {
        let next = KindId(self.all.len() as u32);
        let all = &mut self.all;
        *self.numbers.entry(kind).or_insert_with_key(|kind| {
            all.push(kind.clone());
            next
        })
    }

    /// A signature by its number.
    #[must_use]
    pub fn get(&self, id: KindId) -> Option<&Kind> {
        self.all.get(id.0 as usize)
    }
}

/// What is behind the positions of a half, with the connectors on the way: who opens one of these changes it.
pub(super) struct Side {
    pub spots: Vec<Spot>,
    pub through: Vec<EndId>,
}

/// What walks mark, used again by the next one; `held.forget` where other ends are open.
pub(super) struct Room {
    pub reached: Marks,
    pub held: Held,
}

/// What all sides of a design are found from.
pub(super) struct Ground<'a> {
    facts: &'a Facts,
    poles: Poles,
    pins: IdVec<PointId, Option<&'a PinAt>>,
    /// What is joined when all contacts are closed, and what the sources of each such piece give together, in A.
    pieces: Components,
    limits: IdVec<GroupId, f64>,
}

impl<'a> Ground<'a> {
    pub(super) fn new(facts: &'a Facts) -> Self {
        let pins = facts.pins();
        let network = facts.network();
        let mut at = IdVec::of(None, network.point_count());
        for pin in pins.runs().flat_map(|run| pins.of_run(run)) {
            at[pin.point] = Some(pin);
        }
        let pieces = network.components(|_, edge| edge.role.conducts_when_closed());
        let mut limits = pieces.table(0.0);
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            let limit = edge.element().and_then(|element| facts.model()[element].kind.limit());
            let limit = limit.filter(|_| !edge.role.drives_without_limit());
            limits[pieces.of(edge.b)] += limit.map_or(f64::INFINITY, Ampere::get);
        }
        Self { facts, poles: Poles::new(network), pins: at, pieces, limits }
    }

    /// Room for walks: one for all questions.
    pub(super) fn room(&self) -> Room {
        let network = self.facts.network();
        Room { reached: Marks::new(network), held: Held::new(network) }
    }

    /// What a point conducts to when contacts close, up to what a pole holds; marked in `room.reached`.
    pub(super) fn conducts_to(&self, point: PointId, open: Open<'_>, room: &mut Room) -> Vec<PointId> {
        let network = self.facts.network();
        let Room { reached, held } = room;
        let mut is_held = |point: PointId| self.poles.is_held(network, point, open, held);
        // Where it begins no pole holds.
        let conducts = |edge: &Edge, other: PointId| edge.role.conducts_when_closed() && !is_open(edge, open) && !is_held(other);
        reached.walk(network, point, |_| false, conducts)
    }

    /// Whether the wires at a point carry what all sources that can feed it give together, for good.
    fn is_borne(&self, point: PointId) -> bool {
        let limit = self.limits[self.pieces.of(point)];
        let network = self.facts.network();
        let ends = network.around(point).filter(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other).chain([point]);
        let mut wires = ends.flat_map(|end| network.around(end)).filter_map(|(_, edge, _)| edge.wire());
        let carries = |wire: WireId| self.facts.electrical().capacity(wire).is_some_and(|capacity| capacity.amps.get() >= limit);
        limit.is_finite() && (limit < WEAK || wires.all(carries))
    }

    /// The voltage at a pole, in mV: what a converter puts out, else the nominal voltage of the domain.
    fn millivolts(&self, root: PointId) -> Option<u32> {
        let (model, network) = (self.facts.model(), self.facts.network());
        let of_edge = |edge: &Edge| match model[edge.element()?].kind {
            ElementKind::Converter { output, .. } => Some(output),
            _ => None,
        };
        let given = network
            .around(root)
            .filter(|(_, edge, _)| edge.role.drives() && edge.b == root)
            .find_map(|(_, edge, _)| of_edge(edge));
        let of_domain = || Some(model[self.facts.potentials().of(root)?.domain()?].nominal);
        given.or_else(of_domain).filter(|volts| *volts > Volt::ZERO).map(millivolts)
    }
}

/// What is behind `points` while the ends `open` are unmated; `room` has held what it holds with the same ends open.
pub(super) fn side(ground: &Ground<'_>, kinds: &mut Kinds, points: &[PointId], open: Open<'_>, room: &mut Room) -> Side {
    let mut through: Vec<EndId> = Vec::new();
    let mut spots: Vec<Spot> = Vec::with_capacity(points.len());
    for (at, point) in points.iter().enumerate() {
        let (mut own, is_passive) = spot(ground, kinds, *point, open, room, &mut through);
        // Conducting goes both ways: the first position that is joined to others gives them all its number.
        if is_passive
            && let Some(first) = points.iter().position(|other| room.reached.get(*other).is_some()).filter(|first| *first < at)
        {
            let lump = first.saturating_add(1).min(usize::from(u16::MAX)) as u16;
            own.lump = lump;
            if let Some(first) = spots.get_mut(first) {
                first.lump = lump;
            }
        }
        spots.push(own);
    }
    through.sort_unstable();
    through.dedup();
    Side { spots, through }
}

/// A position, and whether no pole holds it: then what it conducts to is marked.
fn spot(
    ground: &Ground<'_>,
    kinds: &mut Kinds,
    point: PointId,
    open: Open<'_>,
    room: &mut Room,
    through: &mut Vec<EndId>,
) -> (Spot, bool) {
    let Ground { facts, poles, pins: at_point, .. } = ground;
    let (model, network) = (facts.model(), facts.network());
    let spot = |kind: KindId, signal: Option<u32>| Spot { point, kind, signal, net: network.net(point), lump: 0 };
    let has_wire = network.around(point).any(|(_, edge, _)| !is_open(edge, open));
    let is_said = model[point].pin.is_some_and(|pin| {
        let pin = &model[pin];
        pin.spare.is_none() && (pin.role.is_some() || pin.signal.is_some() || pin.domain.is_some())
    });
    if !has_wire && !is_said {
        return (spot(kinds.number(Kind { is_empty: true, ..Kind::default() }), None), false);
    }
    let reached = poles.of(network, point, open, &mut room.held);
    let mut kind = Kind { potential: facts.potentials().of(point), ..Kind::default() };
    if let Some(reached) = &reached {
        kind.pole = Some(reached.pole);
        kind.is_switched = reached.is_switched;
        kind.is_bridge = reached.is_switched && poles.is_bridge(network, point, open, &mut room.held);
        kind.is_unfused = reached.pole == Pole::Plus && facts.electrical().protection().is_unfused(point);
        kind.is_borne = reached.pole == Pole::Plus && ground.is_borne(point);
        kind.millivolts = Some(reached.root).filter(|_| reached.pole == Pole::Plus).and_then(|root| ground.millivolts(root));
        through.extend(&reached.through);
        // What a pole holds has the domain of that pole.
        kind.potential = kind.potential.or_else(|| facts.potentials().of(reached.root));
    }
    let is_metal = |edge: &Edge, _: PointId| edge.is_metal() && !is_open(edge, open);
    let pin_at = |point: PointId| at_point[point];
    if reached.as_ref().is_some_and(|reached| !reached.is_switched) {
        let (role, signal) = named(network, point, is_metal, pin_at, &mut room.reached);
        kind.roles.extend(role);
        return (spot(kinds.number(kind), signal), false);
    }
    let near = room.reached.walk(network, point, |_| false, is_metal);
    let pins = || near.iter().take(MOST_POINTS).filter_map(|point| pin_at(*point));
    for (_, edge, _) in near.iter().take(MOST_POINTS).flat_map(|point| network.around(*point)) {
        through.extend(contact(edge).filter(|_| !is_open(edge, open)));
    }
    kind.roles.extend(pins().filter_map(|pin| pin.role));
    let is_drawn = |point: PointId| network.around(point).any(|(_, edge, _)| edge.element().is_some());
    let drives = pins().filter(|pin| pin.role == Some(Role::Output)).filter_map(|pin| {
        let drive = model[pin.pin].drive.map(|drive| drive.value);
        (drive.is_some() || !is_drawn(pin.point)).then_some(drive)
    });
    kind.drives.extend(drives);
    kind.tap = pins().find_map(|pin| model[pin.pin].tap).map(|tap| tap.value);
    let signal = pins().find_map(|pin| pin.signal);
    // What it conducts to, up to what a pole holds: the loads there are fed through it.
    let mut points = ground.conducts_to(point, open, room);
    // In the order of the network: which ones are looked at does not depend on where the walk begins.
    points.sort_unstable();
    for (_, edge, _) in points.iter().take(MOST_POINTS).flat_map(|point| network.around(*point)) {
        kind.loads.extend(load_side(facts, edge, room.reached.get(edge.a).is_some()));
    }
    kind.is_contact = kind.loads.is_empty() && pins().all(|pin| is_drawn(pin.point));
    kind.roles.sort_unstable();
    kind.roles.dedup();
    kind.drives.sort_unstable();
    kind.drives.dedup();
    kind.loads.sort_unstable();
    kind.loads.dedup();
    (spot(kinds.number(kind), signal), true)
}

/// What the pins on the conductors of a pole say. These are many: the nearest pin with a role says what they are there, and the signal is theirs if
/// they are few and all have one name: a feed is named where it begins, and a rail that feeds many is none of them.
fn named<'p>(
    network: &Network,
    point: PointId,
    is_metal: impl Fn(&Edge, PointId) -> bool,
    pin_at: impl Fn(PointId) -> Option<&'p PinAt>,
    reached: &mut Marks,
) -> (Option<Role>, Option<u32>) {
    let (mut seen, mut role) = (0, None);
    let mut names: Vec<u32> = Vec::new();
    let is_enough = |point: PointId| {
        seen += 1;
        if let Some(pin) = pin_at(point) {
            role = role.or(pin.role);
            names.extend(pin.signal);
            names.dedup();
        }
        role.is_some() && (seen > MOST_NAMED || names.len() > 1)
    };
    reached.walk(network, point, is_enough, is_metal);
    match names.as_slice() {
        [name] if seen <= MOST_NAMED => (role, Some(*name)),
        _ => (role, None),
    }
}

fn load_side(facts: &Facts, edge: &Edge, is_plus: bool) -> Option<LoadSide> {
    let element = edge.element()?;
    // The diode across a coil shorts it when the coil is connected backwards.
    let has_diode = matches!(facts.model()[element].kind, ElementKind::Load { suppression: Some(Suppression::Diode), .. });
    let is_polarised = facts.polarised(edge).is_some() || has_diode && !facts.is_alternating(edge);
    if !edge.role.draws() && !is_polarised {
        return None;
    }
    let millivolts = facts.electrical().nominal(element).map(|nominal| millivolts(nominal.volts));
    Some(LoadSide { is_plus, is_polarised, kind: load_kind(facts, element), millivolts })
}

fn millivolts(volts: Volt) -> u32 {
    (volts.get() * 1000.0).round() as u32
}

/// Gives each position that no source holds the voltage that the design gives it: that of what it meets.
pub(super) fn expect(kinds: &mut Kinds, sides: &mut [Vec<Spot>; 2]) {
    let [one, other] = sides;
    for (own, its) in one.iter_mut().zip(other.iter_mut()) {
        let given =
            |spot: &Spot| kinds.get(spot.kind).filter(|kind| kind.pole == Some(Pole::Plus)).and_then(|kind| kind.millivolts);
        let (from, to) = (given(own), given(its));
        for (spot, volts) in [(own, to), (its, from)] {
            let Some(kind) = kinds.get(spot.kind).filter(|kind| volts.is_some() && kind.pole.is_none() && !kind.is_empty) else {
                continue;
            };
            let kind = Kind { millivolts: volts, ..kind.clone() };
            spot.kind = kinds.number(kind);
        }
    }
}

fn load_kind(facts: &Facts, element: ElementId) -> Option<LoadKind> {
    match facts.model()[element].kind {
        ElementKind::Load { kind, .. } => kind,
        _ => None,
    }
}

impl Kind {
    /// Its domain, where it is one.
    #[must_use]
    pub fn domain(&self) -> Option<DomainId> {
        self.potential?.domain()
    }

    /// Whether one of its pins has the role.
    #[must_use]
    pub fn has(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }

    /// The voltage that its source gives, or the design gives to it.
    #[must_use]
    pub fn volts(&self) -> Option<Volt> {
        self.millivolts.map(|millivolts| Volt::new(f64::from(millivolts) / 1000.0))
    }

    /// The lowest voltage that a load behind it is made for.
    #[must_use]
    pub fn made_for(&self) -> Option<Volt> {
        let least = self.loads.iter().filter_map(|load| load.millivolts).min()?;
        Some(Volt::new(f64::from(least) / 1000.0))
    }
}
