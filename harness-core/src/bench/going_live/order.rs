//! The order in which a vehicle is brought to life: what hands do in which mode, what is open then, and what is read.
//!
//! The idea: everything that hands can keep open is open first. Batteries come on, then fuses one by one, each in the quiet mode and read in the
//! first mode that feeds it; then every mode is tried with class B out, and what must let its contactors go. Only then class B comes in: disconnects,
//! precharge, isolation, modes, and at last the supplies from outside and the first movement. A state is solved for each step.
//!
//! Cost: two or three states for each fuse and mode.

use super::{
    measured::buses,
    plan::{Act, Phase, Planned},
    seen::coils,
    stages::Stage,
    steps::Order,
    trials::Trial,
    vehicle::Vehicle,
};
use crate::{
    model::{DeviceId, DomainId, ModeId},
    network::EdgeId,
    standards::reading::spark,
    text::Name,
};
use std::{
    collections::{BTreeMap, BTreeSet, VecDeque},
    sync::Arc,
};

/// What hands close in a step, and the mode in which it is read.
type Joined = (Act, Vec<EdgeId>, ModeId);

/// The whole order.
pub(super) fn order(vehicle: &Vehicle<'_>) -> Vec<Planned> {
    let mut order = Order::of(vehicle, vehicle.all_open());
    order.dead();
    order.class_a();
    order.modes();
    order.class_b();
    order.outside();
    order.moving();
    order.steps
}

impl<'v, 'f> Order<'v, 'f> {
    /// What is looked at and measured before anything has voltage.
    fn dead(&mut self) {
        let (vehicle, model) = (self.vehicle, self.vehicle.facts.model());
        self.check(Act::RungOut, false);
        self.check(Act::KeptOff, vehicle.has_class_b());
        for condition in conditions(vehicle) {
            self.check(Act::Condition(condition), false);
        }
        if !vehicle.has_class_b() {
            return;
        }
        if vehicle.facts.bonds().boxes.iter().any(|one| !one.earths.is_empty()) {
            self.check(Act::Bonds, true);
        }
        let has_plugs = vehicle.facts.unmatings().iter().any(|opened| opened.is_class_b);
        if has_plugs || !vehicle.facts.loops().bridges.is_empty() {
            self.check(Act::Mated, true);
        }
        let class_b: Vec<DomainId> = model.domains().filter(|(_, domain)| domain.is_class_b()).map(|(id, _)| id).collect();
        for domain in class_b {
            self.check(Act::Insulation(domain), true);
        }
        if !buses(vehicle).is_empty() {
            self.check(Act::Buses, true);
        }
    }

    /// A look at something without voltage.
    fn check(&mut self, act: Act, trained: bool) {
        self.add(act, Phase::Dead, trained, &[]);
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
        self.fuses();
        for (at, supply) in vehicle.supplies.iter().enumerate().filter(|(_, supply)| supply.always && !supply.class_b) {
            self.join(Act::Supply(at), &supply.edges.clone(), Phase::ClassA, false, vehicle.quiet);
        }
    }

    /// Fuses one by one: each in the quiet mode, those first that are fed there and take least, then by the first mode that feeds them. A main
    /// switch goes in behind all fuses that are fed without it.
    fn fuses(&mut self) {
        let vehicle = self.vehicle;
        let own: Vec<ModeId> = vehicle.modes.iter().filter(|stage| stage.supplies.is_empty()).map(|stage| stage.mode).collect();
        let mut in_order: Vec<ModeId> = vec![vehicle.quiet];
        in_order.extend(own.into_iter().filter(|mode| *mode != vehicle.quiet));
        let mut left: BTreeMap<u32, (Vec<usize>, VecDeque<usize>)> = BTreeMap::new();
        for (at, fuse) in vehicle.fuses.iter().enumerate() {
            left.entry(vehicle.piece(fuse.edge)).or_default().0.push(at);
        }
        for (at, one) in vehicle.disconnects.iter().enumerate().filter(|(_, one)| !one.class_b) {
            let piece = one.edges.first().map(|edge| vehicle.piece(*edge));
            left.entry(piece.unwrap_or_default()).or_default().1.push_back(at);
        }
        let queues = left.keys().map(|piece| (*piece, VecDeque::new())).collect();
        self.in_turns(queues, &mut |order: &Self, piece| {
            let Some((fuses, disconnects)) = left.get_mut(&piece) else { return VecDeque::new() };
            let Some((mode, ready)) = order.fed(&in_order, fuses) else {
                let next = disconnects.pop_front().and_then(|at| Some((at, vehicle.disconnects.get(at)?)));
                return next.map(|(at, one)| (Act::Disconnect(at), one.edges.clone(), vehicle.rest)).into_iter().collect();
            };
            fuses.retain(|at| !ready.contains(at));
            let joined = ready.into_iter().filter_map(|at| Some((Act::Fuse(at), vec![vehicle.fuses.get(at)?.edge], mode)));
            joined.collect()
        });
        let left: BTreeSet<usize> = left.into_values().flat_map(|(fuses, _)| fuses).collect();
        if !left.is_empty() {
            let edges: Vec<EdgeId> = left.iter().filter_map(|at| Some(vehicle.fuses.get(*at)?.edge)).collect();
            self.join(Act::DeadFuses(left.into_iter().collect()), &edges, Phase::ClassA, false, vehicle.quiet);
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

    fn modes(&mut self) {
        let vehicle = self.vehicle;
        for stage in vehicle.modes.iter().filter(|stage| stage.supplies.is_empty() && stage.mode != vehicle.quiet) {
            self.switch(Act::Mode(stage.mode), Phase::Modes, false, stage.mode);
            // Where class B feeds everything there is nothing to see without it.
            let shows = |step: &Planned| step.unknown || !step.reads.is_empty();
            if vehicle.has_class_b() && !self.steps.last().is_some_and(shows) {
                self.steps.pop();
            }
        }
        for (at, trial) in vehicle.trials.iter().enumerate() {
            if self.has_power(trial) {
                self.try_open(at, Phase::Modes, &trial.edges, trial.class_b, trial.mode);
            }
        }
    }

    /// Whether a coil that a trial lets go has power in its mode as things are.
    fn has_power(&self, trial: &Trial) -> bool {
        let open = &self.open;
        let is_off = trial.edges.iter().any(|edge| open.contains(edge));
        let snapshot = self.snapshot(trial.mode, open).filter(|_| !is_off);
        snapshot.is_some_and(|before| coils(self.vehicle, &before, &trial.contacts).any(|read| read.has_power()))
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
        let batteries: BTreeSet<DomainId> = vehicle.domains_with_cells();
        let mut stages = vehicle.modes.iter().filter(|stage| stage.supplies.is_empty() && stage.has_class_b);
        // What is isolated shows first where contactors are closed and the least runs.
        let first = stages.next();
        if let Some(stage) = first {
            self.switch(Act::Mode(stage.mode), Phase::ClassB, true, stage.mode);
        }
        for domain in batteries {
            self.look(Act::Isolation(domain), Phase::ClassB, true, first.map_or(vehicle.rest, |stage| stage.mode));
        }
        for stage in stages {
            self.switch(Act::Mode(stage.mode), Phase::ClassB, true, stage.mode);
        }
        // What only class B gives a supply could not be tried without it; a plug of class B is not taken off for that.
        let is_tried = |order: &Self, at: usize| order.steps.iter().any(|step| step.act == Act::Trial(at));
        for (at, trial) in vehicle.trials.iter().enumerate().filter(|(_, trial)| !trial.class_b) {
            if !is_tried(self, at) && self.has_power(trial) {
                self.try_open(at, Phase::ClassB, &trial.edges, true, trial.mode);
            }
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

    /// The first movement by itself, in the last mode in which the vehicle is free to move; only of designs that say in which it is not.
    fn moving(&mut self) {
        let vehicle = self.vehicle;
        let model = vehicle.facts.model();
        let is_free =
            |stage: &&Stage| stage.supplies.is_empty() && !model[stage.mode].immobile && vehicle.turns_motors(stage.mode);
        let says = model.modes().any(|(_, mode)| mode.immobile);
        if let Some(stage) = vehicle.modes.iter().rev().find(is_free).filter(|_| says) {
            self.look(Act::FirstDrive(stage.mode), Phase::Moving, stage.has_class_b, stage.mode);
        }
    }
}

/// What must be true before anything gets power, each text once with all devices that ask for it, in the order written.
fn conditions(vehicle: &Vehicle<'_>) -> Vec<Vec<(DeviceId, usize)>> {
    let model = vehicle.facts.model();
    let mut found: Vec<(Name, Vec<(DeviceId, usize)>)> = Vec::new();
    for (id, device) in model.devices().filter(|(_, device)| device.fitted) {
        for (at, text) in device.before_power.iter().enumerate() {
            match found.iter_mut().find(|(known, _)| *known == text.value) {
                Some((_, asked)) => asked.push((id, at)),
                None => found.push((text.value, vec![(id, at)])),
            }
        }
    }
    found.into_iter().map(|(_, asked)| asked).collect()
}
