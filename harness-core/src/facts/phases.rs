//! Wires of three-phase circuits that lead from one phase to the point of another.
//!
//! The idea: points that are named after the three phases of one circuit (`U` `V` `W`, `L1` `L2` `L3`, `A` `B` `C` …; `facts/phase_names` reads them)
//! are a *trio* of their device, and so are the cores of a cable that are named like this. A run of wire joins members of several trios, each of
//! which should be the same phase. Where two of them are crossed, the phase order is the opposite one. The trio that disagrees with most others on
//! these runs is the odd one. Two contactors that are never closed together and lead the same three phases to the same three points, one of
//! them with two swapped, reverse a motor on purpose.
//!
//! Cost: a pass over the points, cores and, where a trio is odd, the contacts.

use super::{
    Facts,
    phase_names::{Letters, PhaseName, phase_names},
    pins::RunId,
};
use crate::{
    model::{CableId, DeviceId, ElementId, Owner, PointId, PointKind, WireId},
    network::{Components, Edge, EdgeId, GroupId},
    vocabulary::Role,
};
use rustc_hash::FxHashSet;
use std::collections::BTreeMap;

impl Facts {
    /// Phases that are swapped or shifted, in the order of their runs.
    ///
    /// Asked by `netlist/swapped-phases`.
    #[must_use]
    pub fn crossed_phases(&self) -> &[CrossedPhases] {
        self.made.crossed_phases.get_or_init(|| crossed_phases(self))
    }
}

/// A member of a trio: a point of a device, or a core of a cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PhaseAt {
    /// A pin, stud or screw.
    Point(PointId),
    /// The wire that is a core.
    Core(WireId),
}

/// A wire that leads one phase to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crossing {
    /// In the odd trio.
    pub odd: PhaseAt,
    /// What it meets.
    pub meets: PhaseAt,
}

/// Phases of a trio that are swapped or shifted.
#[derive(Debug)]
pub struct CrossedPhases {
    /// Two that are swapped, or three that are shifted: then the order of the phases is the same.
    pub crossings: Vec<Crossing>,
    /// Elements of the box in which they are crossed, where that is not at its wires.
    pub inside: Vec<ElementId>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Holder {
    Device(DeviceId),
    Cable(CableId),
}

/// Three phases of one holder that are named in one way.
struct Trio {
    holder: Holder,
    letters: Letters,
    members: Vec<(u8, RunId, PhaseAt)>,
}

/// A run with what it joins of two trios: for each the phase and the member.
type JointAt = (RunId, [(u8, PhaseAt); 2]);

/// What two trios have in common: for each run the phase in the one and in the other, with the members.
struct Pair {
    trios: [usize; 2],
    joints: Vec<JointAt>,
}

impl Pair {
    /// The joints that swap two phases, or shift three; empty where each meets its own, or more than these.
    fn crossed(&self) -> Vec<JointAt> {
        let to = |from: u8| -> Vec<&JointAt> { self.joints.iter().filter(|(_, [(one, _), _])| *one == from).collect() };
        let only = |from: u8| match to(from).as_slice() {
            [] => None,
            [first, rest @ ..] => rest.iter().all(|joint| joint.1[1].0 == first.1[1].0).then_some(**first),
        };
        let ways: Vec<(u8, JointAt)> = (0..3).filter_map(|from| Some((from, only(from)?))).collect();
        let goes = |from: u8| ways.iter().find(|(at, _)| *at == from).map(|(_, (_, [_, (to, _)]))| *to);
        let odd: Vec<JointAt> = ways.iter().filter(|(from, (_, [_, (to, _)]))| from != to).map(|(_, joint)| *joint).collect();
        let is_closed = odd.iter().all(|(_, [_, (to, _)])| odd.iter().any(|(_, [(from, _), _])| from == to));
        let is_swap = odd.len() == 2 && (0..3).all(|from| goes(from).and_then(goes).is_none_or(|back| back == from));
        if (is_swap || odd.len() == 3) && is_closed { odd } else { Vec::new() }
    }
}

fn crossed_phases(facts: &Facts) -> Vec<CrossedPhases> {
    let trios = trios(facts);
    if trios.len() < 2 {
        return Vec::new();
    }
    let known: FxHashSet<RunId> = facts.mixed_signals().iter().flat_map(|mixed| mixed.runs.iter().copied()).collect();
    // Pairs that cross the same runs are one fault.
    let mut faults: BTreeMap<Vec<RunId>, Vec<&Pair>> = BTreeMap::new();
    let all = pairs(&trios);
    for pair in &all {
        let mut runs: Vec<RunId> = pair.crossed().iter().map(|(run, _)| *run).collect();
        if runs.is_empty() || runs.iter().any(|run| known.contains(run)) {
            continue;
        }
        runs.sort_unstable();
        runs.dedup();
        let is_shift = runs.len() == 3;
        // A star-delta starter shifts on purpose; so does a panel that spreads its loads.
        let [one, other] = pair.trios.map(|at| trios.get(at).map(|trio| trio.letters));
        if is_shift && !(one == other && one == Some(Letters::Uvw)) {
            continue;
        }
        faults.entry(runs).or_default().push(pair);
    }
    let mut reversing = None;
    let mut found = Vec::new();
    for pairs in faults.values() {
        let reversing = reversing.get_or_insert_with(|| Reversing::new(facts));
        let pairs: Vec<&Pair> = pairs.iter().copied().filter(|pair| !is_meant(&trios, &all, pair, reversing)).collect();
        let odd = odd_trio(&trios, &pairs);
        let Some(pair) = pairs.iter().find(|pair| pair.trios.contains(&odd)) else { continue };
        let is_first = pair.trios.first() == Some(&odd);
        let crossings = pair.crossed().into_iter().map(|(_, [(_, one), (_, other)])| match is_first {
            true => Crossing { odd: one, meets: other },
            false => Crossing { odd: other, meets: one },
        });
        found.push(CrossedPhases { crossings: crossings.collect(), inside: Vec::new() });
    }
    found.extend(inside(facts, &trios, &mut reversing));
    found
}

/// Whether one of a crossed pair is a contactor that reverses what another one gives: the other one itself, or what agrees with that one.
fn is_meant(trios: &[Trio], all: &[Pair], pair: &Pair, reversing: &Reversing<'_>) -> bool {
    let holder = |at: usize| trios.get(at).map(|trio| trio.holder);
    let turned = |[one, other]: [usize; 2]| {
        let Some(Holder::Device(device)) = holder(one) else { return false };
        let twins = reversing.twins(device);
        if twins.is_empty() {
            return false;
        }
        let is_twin = |at: usize| matches!(holder(at), Some(Holder::Device(of)) if twins.contains(&of));
        let mut joined =
            all.iter().filter(|pair| pair.trios.contains(&other) && pair.trios.iter().any(|at| is_twin(*at))).peekable();
        is_twin(other) || joined.peek().is_none() || joined.any(|pair| pair.crossed().is_empty())
    };
    let [one, other] = pair.trios;
    turned([one, other]) || turned([other, one])
}

/// The trio that disagrees with most others; of equals a device before a cable, then the later one.
fn odd_trio(trios: &[Trio], pairs: &[&Pair]) -> usize {
    let count = |at: usize| pairs.iter().filter(|pair| pair.trios.contains(&at)).count();
    let is_device = |at: usize| trios.get(at).is_some_and(|trio| matches!(trio.holder, Holder::Device(_)));
    let all = pairs.iter().flat_map(|pair| pair.trios);
    all.max_by_key(|at| (count(*at), is_device(*at), *at)).unwrap_or_default()
}

fn pairs(trios: &[Trio]) -> Vec<Pair> {
    let mut by_run: BTreeMap<RunId, Vec<(usize, u8, PhaseAt)>> = BTreeMap::new();
    for (at, trio) in trios.iter().enumerate() {
        for (phase, run, member) in &trio.members {
            by_run.entry(*run).or_default().push((at, *phase, *member));
        }
    }
    let mut pairs: BTreeMap<[usize; 2], Pair> = BTreeMap::new();
    for (run, members) in by_run {
        for (at, (one, phase, member)) in members.iter().enumerate() {
            for (other, its_phase, its_member) in members.iter().skip(at + 1) {
                let holder = |trio: usize| trios.get(trio).map(|trio| trio.holder);
                // The two windings of one motor are joined as its starter needs them.
                if holder(*one) == holder(*other) {
                    continue;
                }
                let trios = [*one, *other];
                let joint = (run, [(*phase, *member), (*its_phase, *its_member)]);
                pairs.entry(trios).or_insert_with(|| Pair { trios, joints: Vec::new() }).joints.push(joint);
            }
        }
    }
    pairs.into_values().collect()
}

/// The trios of devices in the order of their points, then those of cables.
fn trios(facts: &Facts) -> Vec<Trio> {
    let (model, pins) = (facts.model(), facts.pins());
    let mut named: Vec<(Holder, RunId, PhaseAt, Vec<PhaseName>)> = Vec::new();
    for (point, item) in model.points().filter(|(point, _)| model.is_fitted(*point)) {
        let (Some(device), Some(port)) = (model.device_at(point), model.port_at(point)) else { continue };
        let role = model.role_at(point);
        if !matches!(role, Some(Role::Phase | Role::Line) | None) {
            continue;
        }
        let signal = model.pin_at(point).and_then(|pin| pin.signal).map(|signal| model.text(signal.value));
        let label = match item.kind {
            PointKind::Pin(_) => Some(model.text(item.label)),
            _ => None,
        };
        let is_ac = facts.electrical().domains().of(point).is_some_and(|domain| model[domain].ac);
        let texts = signal.into_iter().chain(label).chain([model.text(model[port].name)]);
        let names = texts.flat_map(|text| phase_names(text, role, is_ac)).collect();
        named.push((Holder::Device(device), pins.run(point), PhaseAt::Point(point), names));
    }
    for (wire, item) in model.wires().filter(|(_, wire)| model[wire.loom].fitted) {
        let Some(((cable, core), from)) = item.core.zip(item.from) else { continue };
        let Some(core) = model[cable].kind.and_then(|kind| model[kind].cores.get(core as usize)) else { continue };
        let names = phase_names(model.text(core.label), Some(Role::Line), true);
        let names = names.into_iter().filter(|name| matches!(name.letters, Letters::Uvw | Letters::Lines)).collect();
        named.push((Holder::Cable(cable), pins.run(from), PhaseAt::Core(wire), names));
    }
    let mut by_name: BTreeMap<(Holder, Letters, &str), u8> = BTreeMap::new();
    for (holder, _, _, names) in &named {
        for name in names {
            *by_name.entry((*holder, name.letters, &name.rest)).or_default() |= 1 << name.phase;
        }
    }
    let is_whole = |holder: Holder, name: &PhaseName| by_name.get(&(holder, name.letters, name.rest.as_str())) == Some(&0b111);
    let mut trios: Vec<Trio> = Vec::new();
    let mut at: BTreeMap<(Holder, Letters, &str), usize> = BTreeMap::new();
    for (holder, run, member, names) in &named {
        let Some(name) = names.iter().find(|name| is_whole(*holder, name)) else { continue };
        let place = *at.entry((*holder, name.letters, &name.rest)).or_insert_with(|| {
            trios.push(Trio { holder: *holder, letters: name.letters, members: Vec::new() });
            trios.len() - 1
        });
        if let Some(trio) = trios.get_mut(place) {
            trio.members.push((name.phase, *run, *member));
        }
    }
    // Points of a wider name can be lost to a narrower one.
    trios.retain(|trio| (0..3).all(|phase| trio.members.iter().any(|(at, ..)| *at == phase)));
    trios
}

/// The contacts of devices, by what they join past metal and fuses.
struct Reversing<'f> {
    facts: &'f Facts,
    by_device: BTreeMap<DeviceId, Vec<(EdgeId, [GroupId; 2])>>,
}

impl<'f> Reversing<'f> {
    fn new(facts: &'f Facts) -> Self {
        let (model, network) = (facts.model(), facts.network());
        let lumps: Components = network.components(|_, edge| edge.role.is_metal() || edge.role.is_fuse());
        let mut by_device: BTreeMap<DeviceId, Vec<(EdgeId, [GroupId; 2])>> = BTreeMap::new();
        for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched()) {
            if let Some(Owner::Device(device)) = edge.element().map(|element| model[element].owner) {
                by_device.entry(device).or_default().push((id, [lumps.of(edge.a), lumps.of(edge.b)]));
            }
        }
        Self { facts, by_device }
    }

    /// The devices whose three contacts lead the same to the same as those of `device`, two of them crossed, and never together.
    fn twins(&self, device: DeviceId) -> Vec<DeviceId> {
        let Some(own) = self.by_device.get(&device) else { return Vec::new() };
        let twins = self.by_device.iter().filter(|(other, its)| **other != device && self.reverse(own, its));
        twins.map(|(other, _)| *other).collect()
    }

    fn reverse(&self, own: &[(EdgeId, [GroupId; 2])], its: &[(EdgeId, [GroupId; 2])]) -> bool {
        let poles = |of: &[(EdgeId, [GroupId; 2])]| -> FxHashSet<GroupId> { of.iter().flat_map(|(_, ends)| *ends).collect() };
        let theirs = poles(its);
        // Auxiliary contacts join other points.
        let own: Vec<_> = own.iter().filter(|(_, ends)| ends.iter().all(|end| theirs.contains(end))).collect();
        let mine: FxHashSet<GroupId> = own.iter().flat_map(|(_, ends)| *ends).collect();
        let its: Vec<_> = its.iter().filter(|(_, ends)| ends.iter().all(|end| mine.contains(end))).collect();
        let is_same = |one: [GroupId; 2], other: [GroupId; 2]| one == other || one == [other[1], other[0]];
        let kept = own.iter().filter(|(_, ends)| its.iter().any(|(_, other)| is_same(*ends, *other))).count();
        let never_together = || {
            let mut modes = self.facts.electrical().modes();
            !modes.any(|mode| own.iter().chain(&its).all(|(edge, _)| mode.conducts(*edge)))
        };
        own.len() == 3 && its.len() == 3 && mine.len() == 6 && kept == 1 && never_together()
    }
}

/// Boxes that cross two phases between two of their trios, by fuses, contacts and links of their own.
fn inside<'f>(facts: &'f Facts, trios: &[Trio], reversing: &mut Option<Reversing<'f>>) -> Vec<CrossedPhases> {
    let (model, network) = (facts.model(), facts.network());
    let mut found = Vec::new();
    for (at, one) in trios.iter().enumerate() {
        let Holder::Device(device) = one.holder else { continue };
        let is_own = |edge: &Edge| {
            edge.role.conducts_when_closed()
                && edge.element().is_some_and(|element| model[element].owner == Owner::Device(device))
        };
        for (place, other) in trios.iter().enumerate().skip(at + 1).filter(|(_, other)| other.holder == one.holder) {
            let mut pair = Pair { trios: [at, place], joints: Vec::new() };
            for (phase, run, member) in &one.members {
                let PhaseAt::Point(point) = member else { continue };
                let walk = network.walk([*point], |_, edge| is_own(edge));
                for (its_phase, _, its) in &other.members {
                    if matches!(its, PhaseAt::Point(its) if walk.reached().contains(its)) {
                        pair.joints.push((*run, [(*phase, *member), (*its_phase, *its)]));
                    }
                }
            }
            let crossed = pair.crossed();
            if crossed.len() != 2 || !reversing.get_or_insert_with(|| Reversing::new(facts)).twins(device).is_empty() {
                continue;
            }
            let crossings: Vec<Crossing> =
                crossed.into_iter().map(|(_, [(_, one), (_, other)])| Crossing { odd: other, meets: one }).collect();
            let mut inside: Vec<ElementId> = Vec::new();
            for crossing in &crossings {
                let (PhaseAt::Point(from), PhaseAt::Point(to)) = (crossing.meets, crossing.odd) else { continue };
                let steps = network.path(from, |point| point == to, |_, edge| is_own(edge)).unwrap_or_default();
                inside.extend(steps.iter().filter_map(|step| network[step.edge].element()));
            }
            inside.sort_unstable();
            inside.dedup();
            found.push(CrossedPhases { crossings, inside });
        }
    }
    found
}
