//! Signals and roles that meet on a net, sorted so that one fault has one outcome.
//!
//! A real short through a source is not a meeting: the short is the fault. A clash of supply and return is a clash of roles, with the
//! swap of wires that puts it right; every other net with several signals is one of signals, whatever its roles; and a clash
//! of roles under one signal is a clash of roles again.

use super::{
    Facts,
    pins::{PinAt, RunId},
    role_clashes::RoleClash,
    signals::MixedSignals,
};
use crate::{model::DeviceId, network::NetId};
use rustc_hash::{FxHashMap, FxHashSet};
use std::cmp::Reverse;

impl Facts {
    /// Signals and roles that meet and should not, one of each fault.
    ///
    /// Asked by `netlist/signal-mismatch` and `netlist/role-conflict`, each for its own outcome.
    #[must_use]
    pub fn meetings(&self) -> &[Meeting] {
        self.made.meetings.get_or_init(|| meetings(self))
    }
}

/// Pins of one signal that are counted when it is asked which of a net's signals is the odd one.
const MOST_COUNTED: usize = 64;

/// Pins that meet on a net, or on nets that are one fault, and should not.
#[derive(Debug)]
pub enum Meeting {
    /// They name different signals.
    Signals(MixedSignals),
    /// Their roles exclude each other; with the nets and moves that belong to it.
    Roles(RoleClash, MixedSignals),
}

/// All meetings of a design. Cost: linear in the pins, and what the repair of mixed signals costs.
fn meetings(facts: &Facts) -> Vec<Meeting> {
    let (network, pins, crowded) = (facts.network(), facts.pins(), facts.crowded_cavities());
    let shorted: FxHashSet<NetId> = facts.shorts().iter().flat_map(|short| short.nets(network)).collect();
    // The pins of a source that is connected the wrong way round clash with whatever is there: the source is the fault.
    let reversed: FxHashSet<DeviceId> = (facts.reversed_sources().iter().filter(|reversed| reversed.is_certain()))
        .filter_map(|reversed| facts.model().device_at(reversed.poles[0]))
        .collect();
    let is_of_reversed =
        |clash: &RoleClash| clash.exclusion.hot && [&clash.one, &clash.other].iter().any(|pin| reversed.contains(&pin.device));
    let clashes = facts.role_clashes().iter().filter(|clash| {
        let holds = |piece: &[PinAt], pin: &PinAt| piece.iter().any(|other| other.point == pin.point);
        let both = |piece: &Vec<PinAt>| holds(piece, &clash.one) && holds(piece, &clash.other);
        // Roles that only meet in a crowded cavity are that cavity's fault.
        let meet = !crowded.are_in(clash.net) || crowded.pieces(network, pins.of(clash.net)).iter().any(both);
        meet && !shorted.contains(&clash.net) && !is_of_reversed(clash)
    });
    let clashes: Vec<RoleClash> = clashes.copied().collect();
    let hot = clashes.iter().filter(|clash| clash.exclusion.hot).map(|clash| (clash.net, clash));
    // Each net has at most one clash; of several nets the one found first is reported for all.
    let hot: FxHashMap<NetId, (usize, &RoleClash)> = hot.enumerate().map(|(at, (net, clash))| (net, (at, clash))).collect();
    let mut found = Vec::new();
    let mut settled: FxHashSet<NetId> = shorted;
    // Several runs of one net may each be a fault; what they settle counts for the clashes of roles alone.
    let mut named: FxHashSet<NetId> = FxHashSet::default();
    let mut runs: FxHashSet<RunId> = FxHashSet::default();
    let mixed: Vec<MixedSignals> = facts.mixed_signals().iter().flat_map(|group| one_fault_each(facts, group)).collect();
    for group in &mixed {
        if group.nets.iter().any(|net| settled.contains(net)) {
            continue;
        }
        named.extend(group.nets.iter().copied());
        runs.extend(group.runs.iter().copied());
        let clash = group.nets.iter().filter_map(|net| hot.get(net)).min_by_key(|(at, _)| *at);
        found.push(match clash {
            Some((_, clash)) => Meeting::Roles(**clash, group.clone()),
            None => Meeting::Signals(group.clone()),
        });
    }
    settled.extend(named);
    for clash in clashes {
        let is_new = match clash.run {
            Some(run) => runs.insert(run),
            None => settled.insert(clash.net),
        };
        if is_new {
            found.push(Meeting::Roles(clash, MixedSignals { runs: Vec::new(), nets: vec![clash.net], rewires: Vec::new() }));
        }
    }
    found
}

/// A group of mixed runs, taken apart where its wires trade places in rings that have nothing in common: each is a slip of its own. A plug that
/// is wrong as a whole is one.
fn one_fault_each(facts: &Facts, group: &MixedSignals) -> Vec<MixedSignals> {
    let rewires = &group.rewires;
    if rewires.len() != group.runs.len() || rewires.len() < 4 || facts.plug_slips().hold(&group.runs) {
        return vec![group.clone()];
    }
    let next = |at: usize| {
        let to = rewires.get(at)?.to;
        rewires.iter().position(|other| other.from == to)
    };
    let mut rings: Vec<Vec<usize>> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    for at in 0..rewires.len() {
        if rings.iter().flatten().any(|known| *known == at) {
            continue;
        }
        let mut ring = vec![at];
        while let Some(following) = ring.last().and_then(|last| next(*last)).filter(|following| !ring.contains(following)) {
            ring.push(following);
        }
        let closes = ring.last().and_then(|last| next(*last)) == Some(at);
        if closes { rings.push(ring) } else { open.push(at) }
    }
    if rings.len() + usize::from(!open.is_empty()) < 2 {
        return vec![group.clone()];
    }
    rings.extend(Some(open).filter(|open| !open.is_empty()));
    // Those of one plug belong together, whatever else is in the group.
    let is_of_a_plug = |ring: &Vec<usize>| {
        let runs: Vec<RunId> = ring.iter().filter_map(|at| group.runs.get(*at).copied()).collect();
        facts.plug_slips().hold(&runs)
    };
    let (of_plugs, mut rings): (Vec<Vec<usize>>, Vec<Vec<usize>>) = rings.into_iter().partition(is_of_a_plug);
    rings.extend(Some(of_plugs.concat()).filter(|all| !all.is_empty()));
    let of = |mut members: Vec<usize>| {
        members.sort_unstable();
        let runs: Vec<RunId> = members.iter().filter_map(|at| group.runs.get(*at).copied()).collect();
        let points = runs.iter().filter_map(|run| facts.pins().of_run(*run).first());
        let mut nets: Vec<NetId> = points.map(|pin| facts.network().net(pin.point)).collect();
        nets.sort_unstable();
        nets.dedup();
        MixedSignals { runs, nets, rewires: members.iter().filter_map(|at| rewires.get(*at).copied()).collect() }
    };
    rings.into_iter().map(of).collect()
}

/// Two pins of a net that name different signals: the odd one first, and one that most others agree with.
#[must_use]
pub fn odd_pin<'f>(facts: &'f Facts, group: &MixedSignals) -> Option<(&'f PinAt, &'f PinAt)> {
    let of = facts.pins().of_run(*group.runs.first()?);
    let misplaced = group.rewires.iter().find_map(|rewire| of.iter().find(|pin| pin.point == rewire.from));
    let count = |pin: &PinAt| of.iter().filter(|other| other.signal == pin.signal).take(MOST_COUNTED).count();
    let named = || of.iter().filter(|pin| pin.signal.is_some()).take(MOST_COUNTED);
    // Names that may be one, such as `tail` and `tail left`, are not what is mixed.
    let agree = |one: &PinAt, other: &PinAt| match (facts.pins().named_as(one), facts.pins().named_as(other)) {
        (Some(one), Some(other)) => one.agrees(&other),
        (None, _) | (_, None) => true,
    };
    let is_opposed = |pin: &PinAt| named().any(|other| other.signal != pin.signal && !agree(pin, other));
    // Of equals the later one is the odd one.
    let oddest =
        |opposed: bool| named().filter(|pin| !opposed || is_opposed(pin)).min_by_key(|pin| (count(pin), Reverse(pin.point)));
    let odd = misplaced.or_else(|| oddest(true)).or_else(|| oddest(false))?;
    let others = || of.iter().filter(|pin| pin.signal.is_some() && pin.signal != odd.signal);
    let other = others().take(MOST_COUNTED).find(|pin| !agree(odd, pin)).or_else(|| others().next())?;
    Some((odd, other))
}
