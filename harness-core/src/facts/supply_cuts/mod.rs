//! Loads that get no voltage in a mode in which they run: which side is cut off, and what is open on the way.
//!
//! A consequence is not a fault of its own: where the cut-off side ends at a pin without a wire, a dangling wire, mixed
//! signals or clashing roles, that was reported. Where it ends at a pin of a device of which nothing inside is known,
//! nobody can say: such a load is among the untraced ones.

mod causes;
mod origin;

use self::causes::{Causes, Reported, Why};
use super::Facts;
use crate::{
    electrical::{ModeState, connectivity::Connectivity},
    model::{ElementId, ElementKind, ModeId, ModeSet, Model, PointId},
    network::{Edge, EdgeId, EdgeRole, GroupId, NetId},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;

impl Facts {
    /// Loads that run without voltage, by what cuts them off.
    ///
    /// Asked by `netlist/no-source` and `netlist/no-return`, each for its own loss.
    #[must_use]
    pub fn supply_cuts(&self) -> &[SupplyCut] {
        &self.supplies_lost().cuts
    }

    /// Loads that run without voltage because their way ends at a pin of which nothing is known, in the order of the loads.
    ///
    /// Asked by `review/missing-fact`.
    #[must_use]
    pub fn untraced_loads(&self) -> &[Untraced] {
        &self.supplies_lost().untraced
    }

    fn supplies_lost(&self) -> &SuppliesLost {
        self.made.supply_cuts.get_or_init(|| supply_cuts(self))
    }
}

/// What loads lack in the modes in which they run.
#[derive(Debug, Default)]
pub(super) struct SuppliesLost {
    cuts: Vec<SupplyCut>,
    untraced: Vec<Untraced>,
}

/// A load that has no voltage as far as the design says, in no mode in which it runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Untraced {
    /// The load.
    pub load: ElementId,
    /// The pin at which its way ends.
    pub pin: PointId,
}

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// What of its supply a load has lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Lost {
    /// No source reaches the load.
    Feed,
    /// The load is fed, and its other side does not get back.
    Return,
    /// Both sides are one conductor.
    Bridged,
}

/// Loads that one thing leaves without voltage.
#[derive(Debug)]
pub struct SupplyCut {
    /// What of the supply is lost.
    pub lost: Lost,
    /// The loads, at least one.
    pub loads: Vec<ElementId>,
    /// Modes in which the first of them runs without voltage; none for a coil that no position of the switches feeds.
    pub modes: Vec<ModeId>,
    /// Its point that is cut off.
    pub dead: PointId,
    /// What is open between that point and the source.
    pub gap: Option<Gap>,
    /// Of a return that nothing joins to the source: the metal that should be.
    pub metal: Option<Metal>,
}

/// Metal that loads share as their return and that nothing joins to a source.
#[derive(Debug, Clone, Copy)]
pub struct Metal {
    /// A point of it, in a device that is not a load.
    pub point: PointId,
    /// A source, and its pole that the metal should be joined to.
    pub source: (ElementId, PointId),
}

/// What is open on the way to a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Gap {
    /// A switch, contact, disconnect or diode that carries nothing, with its element.
    Edge(EdgeId, ElementId),
    /// A fuse or link that is not fitted.
    Unfitted(ElementId),
    /// A converter that does not run in this mode.
    Converter(ElementId),
}

/// What loads of one cut have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Cause {
    /// What is open.
    Gap(Gap),
    /// The net at which they are cut off.
    Net(NetId),
    /// A load that is bridged counts by itself.
    Bridged(NetId, ElementId),
}

/// A load in a mode: the edge and its element.
type Running = (EdgeId, Edge, ElementId);

/// All loads without voltage. Cost: a few passes over the edges for each mode, and a walk for each gap.
fn supply_cuts(facts: &Facts) -> SuppliesLost {
    let (model, network) = (facts.model(), facts.network());
    if !model.elements().any(|(_, element)| element.kind.is_source()) {
        return SuppliesLost::default();
    }
    let mut unknown: BTreeMap<ElementId, PointId> = BTreeMap::new();
    let mut live: FxHashSet<ElementId> = FxHashSet::default();
    let reported = Reported::new(facts);
    let mut found = Found::default();
    let mut fed: FxHashSet<ElementId> = FxHashSet::default();
    let mut everywhere: Vec<SupplyCut> = Vec::new();
    // Coils are alive in some state of the switches: each is asked for in every closure.
    let mut coils: Vec<SupplyCut> = Vec::new();
    let closures = facts.electrical().alternatives().closures();
    let in_closures: Vec<Connectivity> = closures.iter().map(|closure| Connectivity::in_closure(network, closure)).collect();
    let in_modes = facts.electrical().modes().map(|mode| (Some(mode), facts.joined_in(mode)));
    for (mode, view) in in_modes.chain(in_closures.iter().map(|view| (None, view))) {
        let causes = Causes::new(facts, &reported, view, mode);
        // All loads at one lump are cut off by one thing.
        let mut at_lump: FxHashMap<(GroupId, Lost), Why> = FxHashMap::default();
        for (edge, item, element) in running(facts, mode) {
            // Without a steady state nobody can say; `netlist/no-steady-state` says so.
            if mode.is_some_and(|mode| mode.is_adrift(item.a)) {
                fed.insert(element);
                continue;
            }
            let Some((lost, dead)) = verdict(facts, &causes, (edge, item, element)) else {
                fed.insert(element);
                live.insert(element);
                continue;
            };
            let gap = match *at_lump.entry((view.closed.of(dead), lost)).or_insert_with(|| causes.of(lost, dead)) {
                Why::Open(gap) => gap,
                // It is explained elsewhere, or nobody can say: no mode of this load counts.
                Why::Reported => {
                    fed.insert(element);
                    live.insert(element);
                    continue;
                }
                Why::Unknown(pin) => {
                    fed.insert(element);
                    unknown.entry(element).or_insert(pin);
                    continue;
                }
            };
            let modes: Vec<ModeId> = mode.map(|mode| mode.id).into_iter().collect();
            // A contact that is open for want of the return of its coil is a consequence of that.
            let origin = mode.and_then(|_| origin::origin(&causes, gap));
            let (lost, dead, gap) = origin.as_ref().map_or((lost, dead, gap), |origin| (Lost::Return, origin.dead, None));
            let metal = (lost == Lost::Return && gap.is_none()).then(|| metal(facts, &causes, dead)).flatten();
            if let Some(origin) = origin.filter(|_| !says_no_mode(model, element)) {
                let coil = SupplyCut { lost, loads: vec![origin.coil], modes: modes.clone(), dead, gap, metal };
                found.add(facts, origin.coil, coil);
            }
            let one = SupplyCut { lost, loads: vec![element], modes, dead, gap, metal };
            if mode.is_none() {
                coils.push(one);
            } else if says_no_mode(model, element) {
                everywhere.push(one);
            } else {
                found.add(facts, element, one);
            }
        }
    }
    let mut seen: FxHashSet<ElementId> = FxHashSet::default();
    for one in coils {
        if let Some(coil) = one.loads.first().copied().filter(|coil| !fed.contains(coil) && seen.insert(*coil)) {
            found.add(facts, coil, one);
        }
    }
    // A load that names no modes runs whenever it is fed; it must be fed in one of them.
    for one in everywhere {
        if let Some(load) = one.loads.first().copied().filter(|load| !fed.contains(load)) {
            found.add(facts, load, one);
        }
    }
    let untraced = unknown.into_iter().filter(|(load, _)| !live.contains(load)).map(|(load, pin)| Untraced { load, pin });
    SuppliesLost { cuts: found.cuts, untraced: untraced.collect() }
}

/// The metal that is cut off with a return, where loads share some.
fn metal(facts: &Facts, causes: &Causes<'_>, dead: PointId) -> Option<Metal> {
    Some(Metal { point: origin::shared_metal(causes, dead)?, source: origin::minus(facts, dead)? })
}

/// Cuts while they are gathered.
#[derive(Default)]
struct Found {
    cuts: Vec<SupplyCut>,
    by_cause: FxHashMap<Cause, usize>,
    /// The cut that each load is the first of.
    by_first: FxHashMap<ElementId, usize>,
    /// Which load is in which cut.
    members: FxHashSet<(usize, ElementId)>,
}

impl Found {
    fn add(&mut self, facts: &Facts, load: ElementId, one: SupplyCut) {
        if let Some(known) = self.by_first.get(&load).and_then(|at| self.cuts.get_mut(*at)) {
            known.modes.extend(one.modes.into_iter().filter(|mode| !known.modes.contains(mode)).collect::<Vec<_>>());
            return;
        }
        // What several contacts lead to the same metal is one loss.
        let net = facts.network().net(one.metal.map_or(one.dead, |metal| metal.point));
        let cause = match (one.gap, one.lost) {
            (Some(gap), _) => Cause::Gap(gap),
            (None, Lost::Bridged) => Cause::Bridged(net, load),
            (None, Lost::Feed | Lost::Return) => Cause::Net(net),
        };
        let next = self.cuts.len();
        let at = *self.by_cause.entry(cause).or_insert(next);
        if !self.members.insert((at, load)) {
            return;
        }
        match self.cuts.get_mut(at) {
            // Loads that lean on each other over a lost return: the finding is at the one that is fed.
            Some(known) if known.lost == Lost::Feed && one.lost == Lost::Return => {
                let mut loads = std::mem::take(&mut known.loads);
                if let Some(first) = loads.first() {
                    self.by_first.remove(first);
                }
                loads.insert(0, load);
                self.by_first.insert(load, at);
                *known = SupplyCut { loads, ..one };
            }
            Some(known) => known.loads.push(load),
            None => {
                self.by_first.insert(load, at);
                self.cuts.push(one);
            }
        }
    }
}

/// Whether a load does not say in which modes it runs, though there are several.
fn says_no_mode(model: &Model, element: ElementId) -> bool {
    match model[element].kind {
        ElementKind::Load { modes, .. } | ElementKind::Converter { modes, .. } => modes == ModeSet::ALL,
        // A coil runs in the states in which it is fed.
        ElementKind::Relay { .. } => false,
        ElementKind::Source { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => false,
        ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => false,
        ElementKind::Link { .. } | ElementKind::Interlock { .. } => false,
    }
}

/// The loads and converters that run in a mode; without a mode the coils, which are alive in some state of the switches.
fn running(facts: &Facts, mode: Option<&ModeState>) -> Vec<Running> {
    use EdgeRole::{
        BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact,
        Metal, Resistor, Shunt, Source, Switch,
    };
    let model = facts.model();
    let edges = facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let runs = match (edge.role, &model[element].kind, mode) {
            (Load | ConverterInput, ElementKind::Load { modes, .. } | ElementKind::Converter { modes, .. }, Some(mode)) => {
                modes.has(mode.id)
            }
            (Coil, _, None) => true,
            (Load | ConverterInput | Coil, _, _) => false,
            (Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Source { .. }, _, _) => {
                false
            }
            (ConverterOutput { .. } | Resistor | Shunt | Capacitor | Diode, _, _) => false,
        };
        // Where a source is shorted nothing is fed, and the short is the fault.
        let shorted = mode.is_some_and(|mode| mode.is_shorted(edge.a) || mode.is_shorted(edge.b));
        (runs && !shorted && model.is_fitted(edge.a)).then_some((id, *edge, element))
    });
    edges.collect()
}

/// Which side of a load is cut off; `None` for a load that has its voltage.
fn verdict(facts: &Facts, causes: &Causes<'_>, (edge, item, element): Running) -> Option<(Lost, PointId)> {
    let (view, mode) = (causes.view, causes.mode);
    let (from, to) = (item.a, item.b);
    // Without a mode a coil has no figure: it has its voltage if anything but coils and inputs joins both its sides to a source.
    if mode.is_none() && causes.has_supply(from, to) {
        return None;
    }
    if view.hard.of(from) == view.hard.of(to) && view.is_fed(from) {
        // What is left of the voltage at its end is for `conductor/voltage-drop`.
        let bridged = view.closed.of(from) == view.closed.of(to) && view.poles(from) != (true, true);
        // Where both poles are one conductor too, the source is shorted, and that is the fault.
        return (bridged && mode.is_some()).then_some((Lost::Bridged, from));
    }
    // What a load gets through other loads, because the return that they share leads nowhere, is not its voltage.
    let leans = mode.is_some_and(|mode| mode.no_return.contains(&edge)) && !view.is_fed(to) && causes.is_ground(to);
    if let Some(mode) = mode.filter(|_| view.all.of(from) == view.all.of(to) && !leans) {
        let volts = (mode.volts(from).get() - mode.volts(to).get()).abs();
        let least = facts.nominal(element).map(|nominal| nominal.get() / 2.0);
        let carries = mode.amps(edge).get().abs() > NOTHING;
        if least.map_or(carries, |least| volts >= least) {
            return None;
        }
    }
    let dead = match (view.is_fed(from), view.is_fed(to)) {
        (true, false) => to,
        (false, true) => from,
        (false, false) => return Some((Lost::Feed, from)),
        (true, true) => return Some((Lost::Return, to)),
    };
    let live = if dead == from { to } else { from };
    let lost = match view.poles(live) {
        (true, false) => Lost::Return,
        (false, true) => Lost::Feed,
        (true, true) | (false, false) => {
            if dead == to {
                Lost::Return
            } else {
                Lost::Feed
            }
        }
    };
    Some((lost, dead))
}
