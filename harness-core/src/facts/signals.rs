//! Runs of wires whose pins disagree on the signal, and how the wires would have to move to put them right.
//!
//! The idea: a *run* is what wires, contacts and splices join, without what devices join inside, so that a bar or link hides no swap of
//! the wires at it. It is *mixed* if its pins have names that can't be one (`names`). Pins that give or take power may differ (a feed
//! is named after its source at one end and after its load at the other) unless the device at one end has, at
//! another pin, the very signal that the other end names: then the wires are swapped or shifted. Mixed runs that share
//! a signal are one fault; a *repair* moves wires within one connector, or one device, so that all of them are pure.
//!
//! Cost: linear in the pins, and for each mixed group in the pins of the devices that could put it right.

use super::{
    Facts,
    cavities::CrowdedCavities,
    names::Family,
    pins::{PinAt, Pins, RunId, is_crossing},
    wire_ends::WireEnds,
};
use crate::{
    arena::IdVec,
    electrical::conductors::drop::load_kind,
    model::{DeviceId, ModeSet, Model, PointId},
    network::{Edge, EdgeRole, NetId, Network},
    vocabulary::{LoadKind, Role},
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Runs whose pins name different signals, whatever else is at fault with them.
    ///
    /// Asked for the meetings and for what cuts loads off.
    #[must_use]
    pub fn mixed_signals(&self) -> &[MixedSignals] {
        self.made
            .mixed_signals
            .get_or_init(|| mixed_signals(self.network(), self.pins(), self.wire_ends(), self.crowded_cavities()))
    }
}

/// Pins at a mixed run whose device is tried for a repair: no swap of two wires corrects a run of very many pins.
const MOST_TRIED: usize = 64;

/// Names of one run that are compared each with each.
const MOST_COMPARED: usize = 64;

/// One wire that has to move: from the place of one pin to the place of another.
#[derive(Debug, Clone, Copy)]
pub struct Rewire {
    /// The pin at which it is.
    pub from: PointId,
    /// The pin at which it belongs.
    pub to: PointId,
}

/// Mixed runs that are one fault.
#[derive(Debug, Clone)]
pub struct MixedSignals {
    /// The runs, in order.
    pub runs: Vec<RunId>,
    /// Their nets, in order.
    pub nets: Vec<NetId>,
    /// What puts all of them right; empty where no connector or device allows it.
    pub rewires: Vec<Rewire>,
}

/// What a design is compared by.
struct Comparison<'a> {
    network: &'a Network,
    pins: &'a Pins,
    ends: &'a WireEnds,
    /// For each point whether it is the contact of a switch or relay: its name may be the contact's own.
    contacts: IdVec<PointId, bool>,
    /// How many devices name each signal.
    users: FxHashMap<u32, usize>,
}

/// The mixed groups of a design. A run that joins class B to something else is a crossing first, and one that is only
/// mixed through a crowded cavity is that cavity's fault: both are left out.
fn mixed_signals(network: &Network, pins: &Pins, ends: &WireEnds, crowded: &CrowdedCavities) -> Vec<MixedSignals> {
    let with = Comparison { network, pins, ends, contacts: contacts(network), users: users(pins) };
    let runs: Vec<RunId> = pins
        .runs()
        .filter(|run| {
            let of = pins.of_run(*run);
            let Some(net) = of.first().map(|pin| network.net(pin.point)) else { return false };
            disagree(&with, of)
                && (!crowded.are_in(net) || crowded.pieces(network, of).iter().any(|piece| disagree(&with, piece)))
        })
        .collect();
    let mut first: FxHashMap<u32, u32> = FxHashMap::default();
    let mut groups = UnionFind::<u32>::new(runs.len());
    for (run, at) in runs.iter().zip(0..) {
        for signal in pins.of_run(*run).iter().filter_map(|pin| pin.signal) {
            groups.union(*first.entry(signal).or_insert(at), at);
        }
    }
    for (run, at) in runs.iter().zip(0..) {
        for home in homes_elsewhere(pins, pins.of_run(*run)) {
            if let Some(other) = runs.iter().position(|run| *run == home) {
                groups.union(at, other as u32);
            }
        }
    }
    let mut members: Vec<Vec<RunId>> = vec![Vec::new(); runs.len()];
    for (run, label) in runs.iter().zip(groups.into_labeling()) {
        if let Some(slot) = members.get_mut(label as usize) {
            slot.push(*run);
        }
    }
    members.retain(|runs| !runs.is_empty());
    for runs in &mut members {
        runs.sort_unstable();
    }
    let mut found = Vec::new();
    let mixed = |runs: Vec<RunId>, rewires| {
        let points = runs.iter().filter_map(|run| pins.of_run(*run).first()).map(|pin| network.net(pin.point));
        let mut nets: Vec<NetId> = points.collect();
        nets.sort_unstable();
        nets.dedup();
        MixedSignals { runs, nets, rewires }
    };
    for runs in members {
        let rewires = repair(&with, &runs);
        if rewires.is_empty() {
            // Without one repair for all of them each run is a fault of its own.
            found.extend(runs.into_iter().map(|run| mixed(vec![run], repair(&with, &[run]))));
        } else {
            found.push(mixed(runs, rewires));
        }
    }
    found
}

/// The runs at which a device of a run of two pins has a pin whose name agrees with that of the other device here.
fn homes_elsewhere(pins: &Pins, of: &[PinAt]) -> Vec<RunId> {
    let [one, other] = of else { return Vec::new() };
    let homes = |at: &PinAt, meant: &PinAt| -> Vec<RunId> {
        let of_device = pins.of_device(at.device).iter().take(MOST_COMPARED);
        of_device.filter(|pin| pin.point != at.point && suits(pins, pin, meant)).map(|pin| pins.run(pin.point)).collect()
    };
    [homes(one, other), homes(other, one)].concat()
}

/// Whether a wire may join two pins by their names, both being named.
fn suits(pins: &Pins, one: &PinAt, other: &PinAt) -> bool {
    match (pins.named_as(one), pins.named_as(other)) {
        (Some(one), Some(other)) => Family::of(one.role) == Family::Sensor && one.agrees(&other),
        (None, _) | (_, None) => false,
    }
}

/// For each point whether it is the contact of a device that is nothing but a switch or relay. A controller that drives a pin by
/// a switch inside has named the pin after its signal.
fn contacts(network: &Network) -> IdVec<PointId, bool> {
    let model = network.model();
    let mut found = IdVec::of(false, network.point_count());
    let device = |edge: &Edge| model[edge.element()?].owner.device();
    let more: FxHashSet<DeviceId> =
        network.edges().filter(|(_, edge)| !is_of_a_switch(model, edge)).filter_map(|(_, edge)| device(edge)).collect();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched()) {
        if device(edge).is_some_and(|device| !more.contains(&device)) {
            found[edge.a] = true;
            found[edge.b] = true;
        }
    }
    found
}

/// Whether a switch or relay may have it inside beside its contacts: the coil, a bar, what suppresses the coil, the lamp in a push button.
fn is_of_a_switch(model: &Model, edge: &Edge) -> bool {
    match edge.role {
        EdgeRole::Metal(_) | EdgeRole::Switch { .. } | EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::Coil => true,
        EdgeRole::Diode | EdgeRole::Resistor | EdgeRole::Fuse | EdgeRole::Disconnect | EdgeRole::Interlock => true,
        EdgeRole::Load => edge.element().is_some_and(|id| load_kind(&model[id].kind) == Some(LoadKind::Lamp)),
        EdgeRole::Source { .. } | EdgeRole::ConverterInput | EdgeRole::ConverterOutput { .. } => false,
        EdgeRole::Capacitor | EdgeRole::Shunt => false,
    }
}

/// How many devices name each signal.
fn users(pins: &Pins) -> FxHashMap<u32, usize> {
    let mut by: FxHashSet<(u32, DeviceId)> = FxHashSet::default();
    for pin in pins.runs().flat_map(|run| pins.of_run(run)) {
        by.extend(pin.signal.map(|signal| (signal, pin.device)));
    }
    let mut users: FxHashMap<u32, usize> = FxHashMap::default();
    for (signal, _) in by {
        *users.entry(signal).or_default() += 1;
    }
    users
}

/// Whether the pins of one run name signals that can't be one.
fn disagree(with: &Comparison<'_>, of: &[PinAt]) -> bool {
    let named = || of.iter().filter(|pin| pin.signal.is_some());
    let Some(first) = named().next() else { return false };
    if named().all(|pin| pin.signal == first.signal) {
        return false;
    }
    let domain = of.iter().find_map(|pin| pin.domain);
    if of.iter().any(|pin| is_crossing(with.network.model(), pin.domain, domain)) {
        return false;
    }
    if of.iter().all(|one| of.iter().all(|other| is_one_line(with.pins, one, other))) {
        return false;
    }
    are_opposed(with, of) || are_doubled(with, of) || are_mirrored(with.pins, of) || is_offered_elsewhere(with.pins, of)
}

/// Whether two pins name one line, each as seen from its own end.
fn is_one_line(pins: &Pins, one: &PinAt, other: &PinAt) -> bool {
    match (pins.named_as(one), pins.named_as(other)) {
        (Some(one), Some(other)) => one.is_one_line(&other),
        (None, _) | (_, None) => true,
    }
}

/// Whether two pins have names that no wire may join, while none has a name of which all others are a closer form (`brake`, of
/// `brake left` and `brake right`).
fn are_opposed(with: &Comparison<'_>, of: &[PinAt]) -> bool {
    let pins = with.pins;
    let mut kinds: FxHashSet<(Option<u32>, Option<Role>, DeviceId)> = FxHashSet::default();
    // A contact that has a name of its own, such as `COM`, agrees with whatever is led to it.
    // Where the other contacts of its device are named after their signals, so is this one.
    let is_shared = |pin: &PinAt| pin.signal.is_some_and(|signal| with.users.get(&signal) > Some(&1));
    let names_signals = |pin: &PinAt| {
        let others = || pins.of_device(pin.device).iter().filter(|other| other.point != pin.point && with.contacts[other.point]);
        let sends = matches!(pin.role, Some(Role::Input | Role::Output));
        sends && others().any(is_shared) && others().all(|other| other.signal.is_none() || is_shared(other))
    };
    let is_own = |pin: &&PinAt| with.contacts[pin.point] && pin.signal.is_some() && !is_shared(pin) && !names_signals(pin);
    let compared: Vec<&PinAt> = of
        .iter()
        .filter(|pin| pin.signal.is_some() && !is_own(pin) && kinds.insert((pin.signal, pin.role, pin.device)))
        .take(MOST_COMPARED)
        .collect();
    let agree = |one: &PinAt, other: &PinAt| match (pins.named_as(one), pins.named_as(other)) {
        (Some(a), Some(b)) => a.agrees(&b) || are_free(pins, one, other),
        (None, _) | (_, None) => true,
    };
    let mut opposed = compared
        .iter()
        .enumerate()
        .flat_map(|(at, one)| compared.iter().skip(at + 1).filter(|other| !agree(one, other)).map(move |other| (*one, *other)));
    let Some(pair) = opposed.next() else { return false };
    // What one device drives apart no wire may join.
    let kept_apart = |(one, other): (&PinAt, &PinAt)| {
        one.device == other.device && [one, other].iter().all(|pin| pin.role == Some(Role::Output))
    };
    if kept_apart(pair) || opposed.any(kept_apart) {
        return true;
    }
    !compared.iter().any(|hub| compared.iter().all(|other| agree(hub, other)))
}

/// Whether the name of one of two pins says nothing of the other's, because a device kind gives it to several devices: it fits as well
/// as any of its device's.
pub(super) fn are_free(pins: &Pins, one: &PinAt, other: &PinAt) -> bool {
    let is_signal =
        |pin: &PinAt| !matches!(pins.named_as(pin).map(|named| Family::of(named.role)), Some(Family::Interlock | Family::Sensor));
    let fits = |pin: &PinAt, other: &PinAt| !pins.is_of_a_kind(pin) || pins.fits_best(pin, other);
    let is_given_by_a_kind = pins.is_of_a_kind(one) || pins.is_of_a_kind(other);
    is_given_by_a_kind && is_signal(one) && is_signal(other) && fits(one, other) && fits(other, one)
}

/// Whether two supplies meet of which each goes to a device of its own: each name is that of two devices here. One circuit may feed
/// things of several names; then its loads name the same modes.
fn are_doubled(with: &Comparison<'_>, of: &[PinAt]) -> bool {
    let mut by: FxHashMap<u32, FxHashSet<DeviceId>> = FxHashMap::default();
    let mut points: FxHashMap<u32, Vec<PointId>> = FxHashMap::default();
    for pin in of.iter().filter(|pin| pin.role.is_some_and(Role::gives_supply) && !with.pins.is_of_a_kind(pin)) {
        let Some(signal) = pin.signal else { continue };
        by.entry(signal).or_default().insert(pin.device);
        points.entry(signal).or_default().push(pin.point);
    }
    by.retain(|_, devices| devices.len() > 1);
    if by.len() < 2 {
        return false;
    }
    let modes = |point: &PointId| {
        let loads = with.network.around(*point).filter(|(_, edge, _)| edge.role == EdgeRole::Load);
        let named = loads.filter_map(|(_, edge, _)| with.network.model()[edge.element()?].kind.modes());
        named.filter(|modes| *modes != ModeSet::ALL).collect::<Vec<_>>()
    };
    let by_name =
        || by.keys().filter_map(|signal| points.get(signal)).map(|points| points.iter().flat_map(modes).collect::<Vec<_>>());
    let Some(first) = by_name().find_map(|modes| modes.first().copied()) else { return true };
    // A name whose loads name no mode, or another, says that they do not belong together.
    !by_name().all(|modes| !modes.is_empty() && modes.iter().all(|mode| *mode == first))
}

/// Whether a supply that a device keeps for one side goes to the other: it has the supply for that side at another pin, elsewhere.
fn are_mirrored(pins: &Pins, of: &[PinAt]) -> bool {
    let feeds: Vec<&PinAt> = of.iter().filter(|pin| pin.role.is_some_and(Role::gives_supply)).take(MOST_COMPARED).collect();
    let Some(run) = feeds.first().map(|pin| pins.run(pin.point)) else { return false };
    let is_kept_for_the_other = |pin: &PinAt, other: &PinAt| {
        let labels = pins.named_as(pin).zip(pins.named_as(other));
        let Some(mirrored) = labels.and_then(|(own, theirs)| own.label.mirrored_at(theirs.label)) else { return false };
        let mut of_device = pins.of_device(pin.device).iter().filter(|home| pins.run(home.point) != run);
        of_device.any(|home| pins.named_as(home).is_some_and(|home| home.label.key == mirrored))
    };
    feeds.iter().any(|pin| feeds.iter().any(|other| pin.device != other.device && is_kept_for_the_other(pin, other)))
}

/// Whether a device of the run has at another pin, elsewhere, the very signal that a pin of another device names here.
fn is_offered_elsewhere(pins: &Pins, of: &[PinAt]) -> bool {
    let named = || of.iter().filter(|pin| pin.signal.is_some());
    let Some(first) = named().next() else { return false };
    // For each signal on the run the only device that names it here, and for each device the only signal that it names
    // here; `None` where there are several.
    let mut here: FxHashMap<u32, Option<DeviceId>> = FxHashMap::default();
    let mut says: FxHashMap<DeviceId, Option<u32>> = FxHashMap::default();
    let mut devices: Vec<DeviceId> = Vec::new();
    for pin in named() {
        let Some(signal) = pin.signal else { continue };
        // A name that several devices have from their kind asks for no pin of another device, unless it fits none that is here.
        let is_close = |other: &PinAt| match (pins.named_as(pin), pins.named_as(other)) {
            (Some(own), Some(theirs)) => own.label.shortens(theirs.label) || pins.fits_best(pin, other),
            (None, _) | (_, None) => true,
        };
        let is_content = pins.is_of_a_kind(pin) && named().all(|other| other.device == pin.device || is_close(other));
        if !is_content {
            here.entry(signal).and_modify(|only| *only = only.filter(|only| *only == pin.device)).or_insert(Some(pin.device));
        }
        says.entry(pin.device).and_modify(|only| *only = only.filter(|only| *only == signal)).or_insert_with(|| {
            devices.push(pin.device);
            Some(signal)
        });
    }
    let run = pins.run(first.point);
    // Another pin of the device is what a pin of another device on this run asks for, and is elsewhere.
    let offers = |device: DeviceId, other: &PinAt| {
        let asked = other.signal.and_then(|signal| here.get(&signal));
        asked.is_some_and(|by| *by != Some(device))
            && pins.run(other.point) != run
            && says.get(&device).is_some_and(|says| says.is_none() || *says != other.signal)
    };
    devices.iter().any(|device| {
        let all = pins.of_device(*device);
        if all.len() <= here.len() {
            return all.iter().any(|other| offers(*device, other));
        }
        here.keys().any(|signal| pins.named(*device, *signal).iter().any(|other| offers(*device, other)))
    })
}

/// Moves within one connector, else within one device, that leave every run of the group with one signal.
fn repair(with: &Comparison<'_>, runs: &[RunId]) -> Vec<Rewire> {
    let Some(first) = runs.first() else { return Vec::new() };
    let network = with.network;
    let candidates = with.pins.of_run(*first).iter().take(MOST_TRIED);
    for by_device in [false, true] {
        for pin in candidates.clone() {
            let port = network.model().port_at(pin.point);
            let is_here =
                |other: &PinAt| other.device == pin.device && (by_device || network.model().port_at(other.point) == port);
            let rewires = rewires(with, runs, pin.device, is_here);
            if !rewires.is_empty() {
                return rewires;
            }
        }
    }
    Vec::new()
}

/// The moves among those pins of `device` that are at one place; none if they do not put every run right.
fn rewires(with: &Comparison<'_>, runs: &[RunId], device: DeviceId, is_here: impl Fn(&PinAt) -> bool) -> Vec<Rewire> {
    let Comparison { network, pins, ends, .. } = with;
    let mut found: Vec<Rewire> = Vec::new();
    let mut taken: FxHashSet<PointId> = FxHashSet::default();
    for run in runs {
        let mut here = pins.of_run(*run).iter().filter(|pin| is_here(pin));
        let (Some(odd), None) = (here.next(), here.next()) else { return Vec::new() };
        let mut others = pins.of_run(*run).iter().filter(|pin| pin.point != odd.point && pin.signal.is_some());
        let Some((partner, meant)) = others.next().and_then(|pin| Some((pin, pin.signal?))) else { return Vec::new() };
        if Some(meant) == odd.signal || others.any(|pin| pin.signal != Some(meant)) {
            return Vec::new();
        }
        // The pin of that very name, else one of a sensor whose name agrees.
        let named = pins.named(device, meant).iter();
        let agreeing = pins.of_device(device).iter().filter(|pin| suits(pins, pin, partner));
        let home = named.chain(agreeing).find(|pin| {
            let free = runs.binary_search(&pins.run(pin.point)).is_ok() || ends.reaching(network.model(), pin.point).is_none();
            is_here(pin) && free && !taken.contains(&pin.point)
        });
        let Some(home) = home else { return Vec::new() };
        taken.insert(home.point);
        found.push(Rewire { from: odd.point, to: home.point });
    }
    found
}
