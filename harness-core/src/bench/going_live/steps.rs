//! Steps as they are made: what is open before and after each, what hands make or break in it, the states of them.

use super::{
    batteries::Battery,
    plan::{Act, Phase, Planned},
    readings::{Place, Read, Snapshot},
    seen::watched,
    vehicle::Vehicle,
};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::ModeId,
    network::EdgeId,
    quantity::Ampere,
    standards::reading::{spark, trickle},
};
use std::{cell::RefCell, collections::BTreeSet, rc::Rc, sync::Arc};

/// States that are kept.
const KEPT: usize = 12;

/// A state that was found: its mode, what is open in it, what flows.
type Kept<'v, 'f> = (ModeId, Arc<BTreeSet<EdgeId>>, Rc<Snapshot<'v, 'f>>);

/// The order so far.
pub(super) struct Order<'v, 'f> {
    pub(super) vehicle: &'v Vehicle<'f>,
    pub(super) open: Arc<BTreeSet<EdgeId>>,
    pub(super) steps: Vec<Planned>,
    /// What was read in which mode.
    pub(super) read: BTreeSet<(ModeId, Place)>,
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

impl<'v, 'f> Order<'v, 'f> {
    /// An order without a step, of a vehicle in which these edges are open.
    pub(super) fn of(vehicle: &'v Vehicle<'f>, open: BTreeSet<EdgeId>) -> Self {
        Self { vehicle, open: Arc::new(open), steps: Vec::new(), read: BTreeSet::new(), kept: RefCell::default() }
    }

    /// A step that changes nothing, with these readings.
    pub(super) fn add(&mut self, act: Act, phase: Phase, trained: bool, reads: &[Read]) {
        let quiet = self.vehicle.quiet;
        let step = self.step(act, phase, trained, quiet);
        self.steps.push(Planned { reads: reads.to_vec(), ..step });
    }

    /// A step that changes nothing, in a mode.
    pub(super) fn look(&mut self, act: Act, phase: Phase, trained: bool, mode: ModeId) {
        let step = self.step(act, phase, trained, mode);
        self.steps.push(Planned { hands: mode, ..step });
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

    pub(super) fn step(&self, act: Act, phase: Phase, trained: bool, mode: ModeId) -> Planned {
        Planned {
            act,
            phase,
            trained,
            hands: self.vehicle.quiet,
            before: Arc::clone(&self.open),
            meanwhile: Vec::new(),
            tried: Vec::new(),
            open: Arc::clone(&self.open),
            mode,
            reads: Vec::new(),
            more: 0,
            spark: None,
            watched: Vec::new(),
            unknown: false,
        }
    }

    /// A state with what is joined in it; the last few are kept, for a step begins where the one before it ended.
    pub(super) fn snapshot(&self, mode: ModeId, open: &Arc<BTreeSet<EdgeId>>) -> Option<Rc<Snapshot<'v, 'f>>> {
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

    /// A step in which hands close these edges.
    pub(super) fn join(&mut self, act: Act, edges: &[EdgeId], phase: Phase, trained: bool, mode: ModeId) {
        let mut step = self.step(act, phase, trained, mode);
        Arc::make_mut(&mut self.open).retain(|edge| !edges.contains(edge));
        step.open = Arc::clone(&self.open);
        self.fill(&mut step, edges);
        self.steps.push(step);
    }

    /// What is to be said of a step in which hands close these edges: what they carry at once, and what is read.
    pub(super) fn fill(&mut self, step: &mut Planned, edges: &[EdgeId]) {
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

    /// A step in which something that must let contactors go is opened, looked at and closed again.
    pub(super) fn try_open(&mut self, at: usize, phase: Phase, tried: &[EdgeId], trained: bool, mode: ModeId) {
        let mut step = self.step(Act::Trial(at), phase, trained, mode);
        step.hands = mode;
        step.tried = tried.to_vec();
        self.read(&mut step);
        self.steps.push(step);
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
}

/// The most that may flow in what hands make or open: of class B next to nothing.
pub(super) fn bearable(class_b: bool) -> f64 {
    if class_b { trickle() } else { spark() }.value.get()
}
