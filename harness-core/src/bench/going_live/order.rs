//! The order in which a vehicle is brought to life: what hands do in which mode, what is open then, and what is read.
//!
//! The idea: everything that hands can keep open is open first. Batteries come on, then fuses one by one, each in the quiet mode and read in the
//! first mode that feeds it; then every mode is tried with class B out. Only then class B comes in: disconnects, precharge, modes, and at last
//! the supplies from outside. A state is solved for each step.
//!
//! Cost: two or three states for each fuse and mode.

use super::{
    plan::{Act, Phase, Planned},
    readings::{Place, Read, Snapshot},
    seen::{across, behind_contactors, class_b_currents, is_at_pole, loop_ends, poles, source_at, watched},
    vehicle::{Battery, Vehicle},
};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{DomainId, ModeId},
    network::{Edge, EdgeId},
    quantity::Ampere,
    standards::reading::{spark, trickle},
};
use std::{
    cell::RefCell,
    collections::{BTreeMap, BTreeSet, VecDeque},
    rc::Rc,
    sync::Arc,
};

/// Readings of a step beyond which the rest is counted only.
const MOST: usize = 60;
/// States that are kept.
const KEPT: usize = 12;
/// Voltage across a load from which on it counts as supplied.
const SUPPLIED: f64 = 0.5;

/// What hands close in a step, and the mode in which it is read.
type Joined = (Act, Vec<EdgeId>, ModeId);

/// A state that was found: its mode, what is open in it, what flows.
type Kept<'v, 'f> = (ModeId, Arc<BTreeSet<EdgeId>>, Rc<Snapshot<'v, 'f>>);

/// The order so far.
pub(super) struct Order<'v, 'f> {
    pub(super) vehicle: &'v Vehicle<'f>,
    pub(super) open: Arc<BTreeSet<EdgeId>>,
    pub(super) steps: Vec<Planned>,
    /// What was read in which mode.
    read: BTreeSet<(ModeId, Place)>,
    /// The last states.
    kept: RefCell<Vec<Kept<'v, 'f>>>,
}

impl Vehicle<'_> {
    /// What flows in a mode with these edges open.
    pub(super) fn state(&self, mode: ModeId, open: &BTreeSet<EdgeId>) -> Option<ModeState> {
        let changes: Vec<Change> = open.iter().map(|edge| Change::Open(*edge)).collect();
        self.facts.electrical().awoken(mode, &changes)
    }

    /// Whether anything of the design is of class B.
    pub(super) fn has_class_b(&self) -> bool {
        self.facts.model().domains().any(|(_, domain)| domain.is_class_b())
    }
}

/// The whole order.
pub(super) fn order(vehicle: &Vehicle<'_>) -> Vec<Planned> {
    let mut order = Order::of(vehicle, vehicle.all_open());
    order.dead();
    order.class_a();
    order.modes();
    order.class_b();
    order.outside();
    order.steps
}

impl<'v, 'f> Order<'v, 'f> {
    /// An order without a step, of a vehicle in which these edges are open.
    pub(super) fn of(vehicle: &'v Vehicle<'f>, open: BTreeSet<EdgeId>) -> Self {
        Self { vehicle, open: Arc::new(open), steps: Vec::new(), read: BTreeSet::new(), kept: RefCell::default() }
    }

    /// What is looked at and measured before anything has voltage.
    fn dead(&mut self) {
        let (vehicle, model) = (self.vehicle, self.vehicle.facts.model());
        let fitted = model.devices().filter(|(_, device)| device.fitted);
        let conditions = fitted.flat_map(|(id, device)| (0..device.before_power.len()).map(move |at| Act::Condition(id, at)));
        let conditions: Vec<Act> = conditions.collect();
        self.check(Act::RungOut, false);
        self.check(Act::KeptOff, vehicle.has_class_b());
        for condition in conditions {
            self.check(condition, false);
        }
        if !vehicle.has_class_b() {
            return;
        }
        let has_plugs = vehicle.facts.unmatings().iter().any(|opened| opened.is_class_b);
        if has_plugs || !vehicle.facts.loops().bridges.is_empty() {
            self.check(Act::Mated, true);
        }
        if vehicle.facts.bonds().boxes.iter().any(|one| !one.earths.is_empty()) {
            self.check(Act::Bonds, true);
        }
        let class_b: Vec<DomainId> = model.domains().filter(|(_, domain)| domain.is_class_b()).map(|(id, _)| id).collect();
        for domain in class_b {
            self.check(Act::Insulation(domain), true);
        }
    }

    /// A look at something without voltage.
    fn check(&mut self, act: Act, trained: bool) {
        self.add(act, Phase::Dead, trained, &[]);
    }

    /// A step that changes nothing, with these readings.
    pub(super) fn add(&mut self, act: Act, phase: Phase, trained: bool, reads: &[Read]) {
        let quiet = self.vehicle.quiet;
        let step = self.step(act, phase, trained, quiet);
        self.steps.push(Planned { reads: reads.to_vec(), ..step });
    }

    /// A step in which hands open these edges, in the quiet mode.
    pub(super) fn take(&mut self, act: Act, edges: &[EdgeId], trained: bool) {
        let vehicle = self.vehicle;
        let mut step = self.step(act, Phase::MakeSafe, trained, vehicle.quiet);
        let amps = vehicle
            .state(step.hands, &step.before)
            .map_or(0.0, |state| edges.iter().map(|edge| state.amps(*edge).get().abs()).fold(0.0, f64::max));
        step.spark = (amps > bearable(trained)).then(|| Ampere::new(amps));
        Arc::make_mut(&mut self.open).extend(edges.iter().copied());
        step.open = Arc::clone(&self.open);
        self.steps.push(step);
    }

    fn step(&self, act: Act, phase: Phase, trained: bool, mode: ModeId) -> Planned {
        Planned {
            act,
            phase,
            trained,
            hands: self.vehicle.quiet,
            before: Arc::clone(&self.open),
            meanwhile: Vec::new(),
            open: Arc::clone(&self.open),
            mode,
            reads: Vec::new(),
            more: 0,
            spark: None,
            watched: Vec::new(),
            unknown: false,
        }
    }

    fn class_a(&mut self) {
        let vehicle = self.vehicle;
        let batteries = vehicle.batteries.iter().enumerate().filter(|(_, battery)| !battery.class_b);
        let batteries = batteries.filter_map(|(at, battery)| {
            let piece = vehicle.pieces.of(*battery.poles.first()?);
            Some((piece, (Act::Battery(at), battery.lead.clone(), vehicle.quiet)))
        });
        let mut queues: BTreeMap<u32, VecDeque<Joined>> = BTreeMap::new();
        for (piece, joined) in batteries {
            queues.entry(piece).or_default().push_back(joined);
        }
        self.in_turns(queues, &mut |_, _| VecDeque::new());
        for (at, one) in vehicle.disconnects.iter().enumerate().filter(|(_, one)| !one.class_b) {
            self.join(Act::Disconnect(at), &one.edges.clone(), Phase::ClassA, false, vehicle.rest);
        }
        self.fuses();
        for (at, supply) in vehicle.supplies.iter().enumerate().filter(|(_, supply)| supply.always && !supply.class_b) {
            self.join(Act::Supply(at), &supply.edges.clone(), Phase::ClassA, false, vehicle.quiet);
        }
    }

    /// Fuses one by one: each in the quiet mode, those first that are fed there and take least, then by the first mode that feeds them.
    fn fuses(&mut self) {
        let vehicle = self.vehicle;
        let own: Vec<ModeId> = vehicle.modes.iter().filter(|stage| stage.supplies.is_empty()).map(|stage| stage.mode).collect();
        let mut in_order: Vec<ModeId> = vec![vehicle.quiet];
        in_order.extend(own.into_iter().filter(|mode| *mode != vehicle.quiet));
        let pieces: BTreeSet<u32> = vehicle.fuses.iter().map(|fuse| vehicle.piece(fuse.edge)).collect();
        let mut left: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (at, fuse) in vehicle.fuses.iter().enumerate() {
            left.entry(vehicle.piece(fuse.edge)).or_default().push(at);
        }
        let queues = pieces.into_iter().map(|piece| (piece, VecDeque::new())).collect();
        self.in_turns(queues, &mut |order: &Self, piece| {
            let Some(own) = left.get_mut(&piece) else { return VecDeque::new() };
            let Some((mode, ready)) = order.fed(&in_order, own) else { return VecDeque::new() };
            own.retain(|at| !ready.contains(at));
            let joined = ready.into_iter().filter_map(|at| Some((Act::Fuse(at), vec![vehicle.fuses.get(at)?.edge], mode)));
            joined.collect()
        });
        let left: Vec<usize> = left.into_values().flatten().collect::<BTreeSet<usize>>().into_iter().collect();
        if !left.is_empty() {
            let edges: Vec<EdgeId> = left.iter().filter_map(|at| Some(vehicle.fuses.get(*at)?.edge)).collect();
            self.join(Act::DeadFuses(left), &edges, Phase::ClassA, false, vehicle.quiet);
        }
    }

    /// Steps of class A in the order of the pieces of the vehicle that nothing joins. They are solved side by side, one of each piece at a time,
    /// for what is done in one changes nothing in another; `more` gives what comes next in a piece whose queue is empty.
    fn in_turns(&mut self, mut queues: BTreeMap<u32, VecDeque<Joined>>, more: &mut dyn FnMut(&Self, u32) -> VecDeque<Joined>) {
        let begin = Arc::clone(&self.open);
        let mut of: BTreeMap<u32, Vec<(Planned, Vec<EdgeId>)>> = BTreeMap::new();
        loop {
            let mut turn: Vec<(u32, Joined)> = Vec::new();
            for (piece, queue) in &mut queues {
                if queue.is_empty() {
                    *queue = more(self, *piece);
                }
                turn.extend(queue.pop_front().map(|joined| (*piece, joined)));
            }
            if turn.is_empty() {
                break;
            }
            let before = Arc::clone(&self.open);
            let joined: BTreeSet<EdgeId> = turn.iter().flat_map(|(_, (_, edges, _))| edges.iter().copied()).collect();
            Arc::make_mut(&mut self.open).retain(|edge| !joined.contains(edge));
            for (piece, (act, edges, mode)) in turn {
                let mut step = self.step(act, Phase::ClassA, false, mode);
                step.before = Arc::clone(&before);
                self.fill(&mut step, &edges);
                of.entry(piece).or_default().push((step, edges));
            }
        }
        self.open = begin;
        for (mut step, edges) in of.into_values().flatten() {
            step.before = Arc::clone(&self.open);
            Arc::make_mut(&mut self.open).retain(|edge| !edges.contains(edge));
            step.open = Arc::clone(&self.open);
            self.steps.push(step);
        }
    }

    /// The fuses that the first of these modes feeds, those first that go in with a lead off; what takes something at once comes behind what takes
    /// nothing.
    fn fed(&self, modes: &[ModeId], left: &[usize]) -> Option<(ModeId, Vec<usize>)> {
        let vehicle = self.vehicle;
        let network = vehicle.facts.network();
        let quiet = vehicle.facts.electrical().in_mode(vehicle.quiet)?;
        modes.iter().filter(|_| !left.is_empty()).find_map(|mode| {
            let snapshot = self.snapshot(*mode, &self.open)?;
            let is_fed = |at: &usize| {
                let fuse = vehicle.fuses.get(*at)?;
                let edge = network[fuse.edge];
                let takes = quiet.amps(fuse.edge).abs() > spark().value;
                (snapshot.state.is_fed(edge.a) != snapshot.state.is_fed(edge.b)).then_some((!fuse.bolted, takes, *at))
            };
            let mut ready: Vec<(bool, bool, usize)> = left.iter().filter_map(is_fed).collect();
            ready.sort_unstable();
            (!ready.is_empty()).then(|| (*mode, ready.into_iter().map(|(.., at)| at).collect()))
        })
    }

    /// A state with what is joined in it; the last few are kept, for a step begins where the one before it ended.
    fn snapshot(&self, mode: ModeId, open: &Arc<BTreeSet<EdgeId>>) -> Option<Rc<Snapshot<'v, 'f>>> {
        let mut kept = self.kept.borrow_mut();
        if let Some(at) =
            kept.iter().position(|(known, known_open, _)| *known == mode && (Arc::ptr_eq(known_open, open) || known_open == open))
        {
            return kept.get(at).map(|(.., snapshot)| Rc::clone(snapshot));
        }
        let snapshot = Rc::new(Snapshot::new(self.vehicle, self.vehicle.state(mode, open)?));
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((mode, Arc::clone(open), Rc::clone(&snapshot)));
        Some(snapshot)
    }

    fn modes(&mut self) {
        let vehicle = self.vehicle;
        for stage in vehicle.modes.iter().filter(|stage| stage.supplies.is_empty() && stage.mode != vehicle.quiet) {
            self.switch(Act::Mode(stage.mode), Phase::Modes, false, stage.mode);
        }
    }

    fn class_b(&mut self) {
        let vehicle = self.vehicle;
        for (at, supply) in vehicle.supplies.iter().enumerate().filter(|(_, supply)| supply.always && supply.class_b) {
            self.join(Act::Supply(at), &supply.edges.clone(), Phase::ClassB, true, vehicle.quiet);
        }
        for (at, battery) in vehicle.batteries.iter().enumerate().filter(|(_, one)| one.class_b && !one.lead.is_empty()) {
            self.join(Act::Battery(at), &battery.lead.clone(), Phase::ClassB, true, vehicle.quiet);
        }
        for (at, one) in vehicle.disconnects.iter().enumerate().filter(|(_, one)| one.class_b) {
            self.join(Act::Disconnect(at), &one.edges.clone(), Phase::ClassB, true, vehicle.rest);
        }
        if !vehicle.has_class_b() {
            return;
        }
        for stage in vehicle.modes.iter().filter(|stage| stage.supplies.is_empty() && stage.has_class_b) {
            self.switch(Act::Mode(stage.mode), Phase::ClassB, true, stage.mode);
        }
    }

    fn outside(&mut self) {
        let vehicle = self.vehicle;
        for stage in vehicle.modes.iter().filter(|stage| !stage.supplies.is_empty()) {
            let there: Vec<_> = stage.supplies.iter().filter_map(|at| vehicle.supplies.get(*at)).collect();
            let trained = vehicle.has_class_b() && (stage.has_class_b || there.iter().any(|supply| supply.class_b));
            let open = Arc::clone(&self.open);
            for supply in there {
                Arc::make_mut(&mut self.open).retain(|edge| !supply.edges.contains(edge));
            }
            self.switch(Act::PlugIn(stage.mode), Phase::Outside, trained, stage.mode);
            if let Some(step) = self.steps.last_mut() {
                step.before.clone_from(&open);
            }
            // It is taken out again before the next.
            self.open = open;
        }
    }

    /// A step in which hands close these edges.
    pub(super) fn join(&mut self, act: Act, edges: &[EdgeId], phase: Phase, trained: bool, mode: ModeId) {
        let mut step = self.step(act, phase, trained, mode);
        Arc::make_mut(&mut self.open).retain(|edge| !edges.contains(edge));
        step.open = Arc::clone(&self.open);
        self.fill(&mut step, edges);
        self.steps.push(step);
    }

    /// What is to be said of a step in which hands close these edges: what they carry at once, and what is read.
    fn fill(&mut self, step: &mut Planned, edges: &[EdgeId]) {
        if let Act::Fuse(at) = step.act {
            step.meanwhile = self.meanwhile(at);
        }
        let made: &[EdgeId] = if step.meanwhile.is_empty() { edges } else { &step.meanwhile };
        if !step.trained && !matches!(step.act, Act::Supply(_)) {
            let most =
                |snapshot: &Snapshot<'_, '_>| made.iter().map(|edge| snapshot.state.amps(*edge).get().abs()).fold(0.0, f64::max);
            let after = self.snapshot(step.hands, &step.open).map_or(0.0, |after| most(&after));
            // Leads come off before they go on again.
            let first = self.snapshot(step.hands, &step.before).filter(|_| !step.meanwhile.is_empty());
            let amps = first.map_or(after, |before| after.max(most(&before)));
            step.spark = (amps > spark().value.get()).then(|| Ampere::new(amps));
        }
        self.read(step);
    }

    /// The leads that are taken off while a bolted fuse is worked at: those of the batteries of class A that are on.
    fn meanwhile(&self, at: usize) -> Vec<EdgeId> {
        let vehicle = self.vehicle;
        let Some(fuse) = vehicle.fuses.get(at).filter(|fuse| fuse.bolted) else { return Vec::new() };
        let piece = vehicle.piece(fuse.edge);
        let is_near = |battery: &&Battery| !battery.class_b && vehicle.pieces.of(battery.poles[0]) == piece;
        let batteries = vehicle.batteries.iter().filter(is_near);
        batteries.flat_map(|battery| battery.lead.iter().copied()).filter(|edge| !self.open.contains(edge)).collect()
    }

    /// A step in which a mode is switched to.
    pub(super) fn switch(&mut self, act: Act, phase: Phase, trained: bool, mode: ModeId) {
        let mut step = self.step(act, phase, trained, mode);
        step.hands = mode;
        if phase >= Phase::ClassB {
            step.watched = watched(self.vehicle, mode);
        }
        self.read(&mut step);
        self.steps.push(step);
    }

    /// What is read in a step: its own thing first, then what it supplies.
    fn read(&mut self, step: &mut Planned) {
        let vehicle = self.vehicle;
        let network = vehicle.facts.network();
        let (Some(before), Some(after)) = (self.snapshot(step.mode, &step.before), self.snapshot(step.mode, &step.open)) else {
            step.unknown = true;
            return;
        };
        let (before, after): (&Snapshot<'_, '_>, &Snapshot<'_, '_>) = (&before, &after);
        step.unknown = !after.state.unsettled.is_empty();
        let mut reads: Vec<Read> = Vec::new();
        match &step.act {
            Act::Battery(at) => reads.extend(vehicle.batteries.get(*at).into_iter().flat_map(|battery| {
                let [negative, positive] = battery.poles;
                let current = battery.lead.first().and_then(|_| source_at(vehicle, negative, positive));
                let amps = current.and_then(|(edge, element)| after.read_amps(edge, element));
                before.read_volts(positive, negative, true).into_iter().chain(amps)
            })),
            Act::Fuse(at) => {
                if let Some(fuse) = vehicle.fuses.get(*at) {
                    let edge = network[fuse.edge];
                    let far = if before.state.is_fed(edge.a) { edge.b } else { edge.a };
                    let probed = vehicle.probed(far);
                    let at_far = |snapshot: &Snapshot<'_, '_>, is_before: bool| {
                        let point = probed?;
                        let reference = after.reference(point)?;
                        snapshot.read_volts(point, reference, is_before)
                    };
                    reads.extend(at_far(before, true));
                    reads.extend(at_far(after, false));
                    reads.extend(after.read_amps(fuse.edge, fuse.element));
                }
            }
            Act::Disconnect(_) | Act::Supply(_) => {
                reads.extend(poles(vehicle, after, step.phase >= Phase::ClassB));
            }
            Act::Mode(_) | Act::PlugIn(_) => {
                reads.extend(poles(vehicle, after, step.phase >= Phase::ClassB));
            }
            _ => {}
        }
        let is_new = |edge: &Edge| {
            let across = |snapshot: &Snapshot<'_, '_>| snapshot.volts(edge.a, edge.b).abs();
            across(after) > SUPPLIED && (matches!(step.act, Act::Mode(_) | Act::PlugIn(_)) || across(before) < SUPPLIED)
        };
        let piece = match step.act {
            Act::Fuse(at) => vehicle.fuses.get(at).map(|fuse| vehicle.piece(fuse.edge)),
            Act::Battery(at) => vehicle.batteries.get(at).map(|battery| vehicle.pieces.of(battery.poles[0])),
            _ => None,
        };
        let is_near = |edge: &Edge| piece.is_none_or(|piece| vehicle.pieces.of(edge.a) == piece);
        for (id, edge) in network.edges().filter(|(_, edge)| edge.role.draws() && is_near(edge)) {
            if after.state.conducts(id) && is_new(edge) {
                reads.extend(across(vehicle, after, edge));
            }
        }
        if step.trained && step.phase >= Phase::ClassB {
            reads.extend(behind_contactors(vehicle, after));
        }
        match step.act {
            Act::Mode(_) | Act::PlugIn(_) if step.phase >= Phase::ClassB => {
                // What has no voltage of class B was read in this mode before.
                reads.retain(|read| !self.read.contains(&(step.mode, read.place)) || is_at_pole(vehicle, read.place));
                reads.extend(class_b_currents(vehicle, after));
                reads.extend(loop_ends(vehicle, after));
            }
            Act::Mode(_) | Act::Disconnect(_) if step.phase >= Phase::Modes => reads.extend(loop_ends(vehicle, after)),
            _ => {}
        }
        if matches!(step.act, Act::Mode(_)) && step.phase == Phase::Modes {
            reads.retain(|read| !self.read.contains(&(step.mode, read.place)));
        }
        let mut seen: BTreeSet<(Place, bool)> = BTreeSet::new();
        reads.retain(|read| seen.insert((read.place, read.before)));
        self.read.extend(reads.iter().filter(|read| !read.before).map(|read| (step.mode, read.place)));
        step.more = reads.len().saturating_sub(MOST);
        reads.truncate(MOST);
        step.reads = reads;
    }
}

/// The most that may flow in what hands make or open: of class B next to nothing.
pub(super) fn bearable(class_b: bool) -> f64 {
    if class_b { trickle() } else { spark() }.value.get()
}
