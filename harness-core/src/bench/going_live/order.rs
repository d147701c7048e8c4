//! The order in which a vehicle is brought to life: what hands do in which mode, what is open then, and what is read.
//!
//! The idea: everything that hands can keep open is open first. Batteries come on, then fuses one by one, each in the quiet mode and read in the
//! first mode that feeds it; then every mode is tried with class B out. Only then class B comes in: disconnects, precharge, modes, and at last
//! the supplies from outside. A state is solved for each step.
//!
//! Cost: two or three states for each fuse and mode.

use super::{
    readings::{How, Place, Read, Snapshot},
    vehicle::Vehicle,
};
use crate::{
    electrical::{ModeState, what_if::Change},
    facts::{loops::is_contactor, precharge::Precharge},
    model::{DeviceId, DomainId, ModeId, PointId},
    network::{Edge, EdgeId},
    quantity::{Ampere, Second, Volt},
    standards::reading::{spark, trickle},
    vocabulary::Role,
};
use std::collections::BTreeSet;

/// Readings of a step beyond which the rest is counted only.
const MOST: usize = 60;
/// Voltage across a load from which on it counts as supplied.
const SUPPLIED: f64 = 0.5;

/// What a step is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Act {
    /// Every loom was rung out.
    RungOut,
    /// What is kept off until its step comes.
    KeptOff,
    /// What a device needs before it gets power, by its place in the list of the device.
    Condition(DeviceId, usize),
    /// Bonds of boxes with class B.
    Bonds,
    /// Everything of class B is mated and the interlock loop closed.
    Mated,
    /// Insulation of a domain of class B against the chassis.
    Insulation(DomainId),
    /// A battery comes on, by its place.
    Battery(usize),
    /// A supply is switched on, by its place.
    Supply(usize),
    /// A disconnect or main switch goes in, by its place.
    Disconnect(usize),
    /// A fuse goes in, by its place.
    Fuse(usize),
    /// Fuses go in that nothing feeds yet.
    DeadFuses(Vec<usize>),
    /// A mode is switched to.
    Mode(ModeId),
    /// A supply from outside is plugged in, for this mode.
    PlugIn(ModeId),
    /// The vehicle is brought to rest for work.
    Settle,
    /// A disconnect or main switch is taken out, by its place.
    TakeOut(usize),
    /// A battery comes off, by its place.
    TakeOff(usize),
    /// Fuses are pulled, by their places.
    Pull(Vec<usize>),
    /// Capacitors empty.
    Wait,
    /// The absence of voltage is proven.
    ProveDead,
    /// The work itself.
    Work,
}

/// A stage of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Without any voltage.
    Dead,
    /// Supplies and fuses of class A.
    ClassA,
    /// Every mode with class B out.
    Modes,
    /// Class B.
    ClassB,
    /// Supplies from outside.
    Outside,
    /// Making a vehicle safe for work.
    MakeSafe,
    /// Work on it.
    AtWork,
    /// Putting it back into service.
    PutBack,
}

/// A capacitor that is charged through a resistor as the step begins.
#[derive(Debug, Clone)]
pub struct Watched {
    /// What charges it.
    pub precharge: Precharge,
    /// Times with the least voltage that it has then: nine tenths, all but one in a hundred.
    pub at: Vec<(Second, Volt)>,
}

/// A step with ids.
#[derive(Debug, Clone)]
pub struct Planned {
    /// What it is about.
    pub act: Act,
    /// The stage.
    pub phase: Phase,
    /// Trained people alone do it.
    pub trained: bool,
    /// The mode in which hands work.
    pub hands: ModeId,
    /// What hands keep open before it.
    pub before: BTreeSet<EdgeId>,
    /// What is opened while hands work and closed again behind them.
    pub meanwhile: Vec<EdgeId>,
    /// What is open after it.
    pub open: BTreeSet<EdgeId>,
    /// The mode in which it is read.
    pub mode: ModeId,
    /// What a meter shows.
    pub reads: Vec<Read>,
    /// How many more could be read.
    pub more: usize,
    /// A contact of class A that carries so much as soon as it is made.
    pub spark: Option<Ampere>,
    /// What is charged as it begins.
    pub watched: Vec<Watched>,
    /// No steady state was found in it, so that nothing can be said of its readings.
    pub unknown: bool,
}

/// The order so far.
pub(super) struct Order<'v, 'f> {
    pub(super) vehicle: &'v Vehicle<'f>,
    pub(super) open: BTreeSet<EdgeId>,
    pub(super) steps: Vec<Planned>,
    /// What was read in which mode.
    read: BTreeSet<(ModeId, Place)>,
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
        Self { vehicle, open, steps: Vec::new(), read: BTreeSet::new() }
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
        self.open.extend(edges.iter().copied());
        step.open = self.open.clone();
        self.steps.push(step);
    }

    fn step(&self, act: Act, phase: Phase, trained: bool, mode: ModeId) -> Planned {
        Planned {
            act,
            phase,
            trained,
            hands: self.vehicle.quiet,
            before: self.open.clone(),
            meanwhile: Vec::new(),
            open: self.open.clone(),
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
        for (at, battery) in vehicle.batteries.iter().enumerate().filter(|(_, battery)| !battery.class_b) {
            self.join(Act::Battery(at), &battery.lead.clone(), Phase::ClassA, false, vehicle.quiet);
        }
        for (at, one) in vehicle.disconnects.iter().enumerate().filter(|(_, one)| !one.class_b) {
            self.join(Act::Disconnect(at), &one.edges.clone(), Phase::ClassA, false, vehicle.rest);
        }
        self.fuses();
        for (at, supply) in vehicle.supplies.iter().enumerate().filter(|(_, supply)| supply.always && !supply.class_b) {
            self.join(Act::Supply(at), &[supply.edge], Phase::ClassA, false, vehicle.quiet);
        }
    }

    /// Fuses one by one: each in the quiet mode, those first that are fed there and take least, then by the first mode that feeds them.
    fn fuses(&mut self) {
        let vehicle = self.vehicle;
        let network = vehicle.facts.network();
        let mut left: Vec<usize> = (0..vehicle.fuses.len()).collect();
        let own: Vec<ModeId> = vehicle.modes.iter().filter(|stage| stage.supplies.is_empty()).map(|stage| stage.mode).collect();
        let mut in_order: Vec<ModeId> = vec![vehicle.quiet];
        in_order.extend(own.into_iter().filter(|mode| *mode != vehicle.quiet));
        while !left.is_empty() {
            let next = in_order.iter().find_map(|mode| {
                let state = vehicle.state(*mode, &self.open)?;
                let is_next = |at: &usize| {
                    let edge = network[vehicle.fuses.get(*at)?.edge];
                    (state.is_fed(edge.a) != state.is_fed(edge.b)).then_some(*at)
                };
                let mut ready: Vec<usize> = left.iter().filter_map(is_next).collect();
                // What takes something at once comes behind what takes nothing: its lead then comes off once less.
                ready.sort_by_key(|at| {
                    let fuse = vehicle.fuses.get(*at);
                    (fuse.is_none_or(|fuse| !fuse.bolted), self.takes(*at) > spark().value.get(), *at)
                });
                ready.first().map(|at| (*at, *mode))
            });
            let Some((at, mode)) = next else { break };
            left.retain(|other| *other != at);
            let Some(fuse) = vehicle.fuses.get(at) else { continue };
            self.join(Act::Fuse(at), &[fuse.edge], Phase::ClassA, false, mode);
        }
        if !left.is_empty() {
            let edges: Vec<EdgeId> = left.iter().filter_map(|at| Some(vehicle.fuses.get(*at)?.edge)).collect();
            self.join(Act::DeadFuses(left), &edges, Phase::ClassA, false, vehicle.quiet);
        }
    }

    /// What a fuse would carry in the quiet mode, in ampere.
    fn takes(&self, at: usize) -> f64 {
        let Some(fuse) = self.vehicle.fuses.get(at) else { return 0.0 };
        let mut open = self.open.clone();
        open.remove(&fuse.edge);
        self.vehicle.state(self.vehicle.quiet, &open).map_or(0.0, |state| state.amps(fuse.edge).get().abs())
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
            self.join(Act::Supply(at), &[supply.edge], Phase::ClassB, true, vehicle.quiet);
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
            let open = self.open.clone();
            for supply in there {
                self.open.remove(&supply.edge);
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
        let vehicle = self.vehicle;
        let mut step = self.step(act, phase, trained, mode);
        for edge in edges {
            self.open.remove(edge);
        }
        step.open = self.open.clone();
        if let Act::Fuse(at) = step.act {
            step.meanwhile = self.meanwhile(at);
        }
        let made: &[EdgeId] = if step.meanwhile.is_empty() { edges } else { &step.meanwhile };
        if !trained && !matches!(step.act, Act::Supply(_)) {
            let amps = vehicle
                .state(step.hands, &step.open)
                .map_or(0.0, |state| made.iter().map(|edge| state.amps(*edge).get().abs()).fold(0.0, f64::max));
            step.spark = (amps > spark().value.get()).then(|| Ampere::new(amps));
        }
        self.read(&mut step);
        self.steps.push(step);
    }

    /// The leads that are taken off while a bolted fuse is worked at: those of the batteries of class A that are on.
    fn meanwhile(&self, at: usize) -> Vec<EdgeId> {
        if self.vehicle.fuses.get(at).is_none_or(|fuse| !fuse.bolted) {
            return Vec::new();
        }
        let batteries = self.vehicle.batteries.iter().filter(|battery| !battery.class_b);
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
        let (Some(before), Some(after)) = (vehicle.state(step.mode, &step.before), vehicle.state(step.mode, &step.open)) else {
            step.unknown = true;
            return;
        };
        step.unknown = !after.unsettled.is_empty();
        let (before, after) = (Snapshot::new(vehicle, before), Snapshot::new(vehicle, after));
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
                    reads.extend(at_far(&before, true));
                    reads.extend(at_far(&after, false));
                    reads.extend(after.read_amps(fuse.edge, fuse.element));
                }
            }
            Act::Disconnect(_) | Act::Supply(_) => {
                reads.extend(poles(vehicle, &after, step.phase >= Phase::ClassB));
            }
            Act::Mode(_) | Act::PlugIn(_) => {
                reads.extend(poles(vehicle, &after, step.phase >= Phase::ClassB));
            }
            _ => {}
        }
        let is_new = |edge: &Edge| {
            let across = |snapshot: &Snapshot<'_, '_>| snapshot.volts(edge.a, edge.b).abs();
            across(&after) > SUPPLIED && (matches!(step.act, Act::Mode(_) | Act::PlugIn(_)) || across(&before) < SUPPLIED)
        };
        for (id, edge) in network.edges().filter(|(_, edge)| edge.role.draws()) {
            if after.state.conducts(id) && is_new(edge) {
                reads.extend(across(vehicle, &after, edge));
            }
        }
        if step.trained && step.phase >= Phase::ClassB {
            reads.extend(behind_contactors(vehicle, &after));
        }
        match step.act {
            Act::Mode(_) | Act::PlugIn(_) if step.phase >= Phase::ClassB => {
                // What has no voltage of class B was read in this mode before.
                reads.retain(|read| !self.read.contains(&(step.mode, read.place)) || is_at_pole(vehicle, read.place));
                reads.extend(class_b_currents(vehicle, &after));
                reads.extend(loop_ends(vehicle, &after));
            }
            Act::Mode(_) | Act::Disconnect(_) if step.phase >= Phase::Modes => reads.extend(loop_ends(vehicle, &after)),
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

/// The cells whose current is that of a lead: a source of the battery with these poles.
fn source_at(vehicle: &Vehicle<'_>, negative: PointId, positive: PointId) -> Option<(EdgeId, crate::model::ElementId)> {
    let network = vehicle.facts.network();
    let at = |point: PointId| network.around(point).find(|(_, edge, _)| edge.role.takes_charge());
    let (id, edge, _) = at(negative).or_else(|| at(positive))?;
    Some((id, edge.element()?))
}

/// The voltage at the poles of each battery, of class B too where it is in.
fn poles(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>, with_class_b: bool) -> Vec<Read> {
    let batteries = vehicle.batteries.iter().filter(|battery| with_class_b || !battery.class_b);
    batteries.filter_map(|battery| after.read_volts(battery.poles[1], battery.poles[0], false)).collect()
}

/// The voltage across what draws, at the contacts of its box.
fn across(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>, edge: &Edge) -> Option<Read> {
    let (one, other) = if after.volts(edge.a, edge.b) >= 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
    let (Some(one), Some(other)) = (vehicle.probed(one), vehicle.probed(other)) else {
        let point = vehicle.probed(one)?;
        return after.read_volts(point, after.reference(point)?, false);
    };
    (one != other).then(|| after.read_volts(one, other, false)).flatten()
}

/// Whether a reading is at the poles of a battery, which every mode moves.
fn is_at_pole(vehicle: &Vehicle<'_>, place: Place) -> bool {
    match place {
        Place::Between(point, _) => vehicle.batteries.iter().any(|battery| battery.poles[1] == point),
        Place::In(..) => false,
    }
}

/// The currents of what protects class B, and of the batteries of class A.
fn class_b_currents(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
    let network = vehicle.facts.network();
    let fuses =
        network.edges().filter(|(_, edge)| edge.role.is_fuse() && (vehicle.is_class_b(edge.a) || vehicle.is_class_b(edge.b)));
    let fuses = fuses.filter(|(id, _)| after.state.conducts(*id)).filter_map(|(id, edge)| Some((id, edge.element()?)));
    let cells = vehicle.batteries.iter().filter(|battery| !battery.class_b);
    let cells = cells.filter_map(|battery| source_at(vehicle, battery.poles[0], battery.poles[1]));
    fuses.chain(cells).filter_map(|(id, element)| after.read_amps(id, element)).collect()
}

/// The voltage at the ends of interlock loops, where their controllers watch them.
fn loop_ends(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let is_end = |point: PointId| {
        model.role_at(point) == Some(Role::Interlock)
            && model.port_at(point).is_some()
            && !network.around(point).any(|(_, edge, _)| edge.role.may_bridge_loop() && is_loop(vehicle, edge))
    };
    let ends = model.points().map(|(point, _)| point).filter(|point| is_end(*point) && vehicle.how(*point) == Some(How::Probes));
    ends.filter_map(|point| after.read_volts(point, after.reference(point)?, false)).collect()
}

/// Whether both sides of an edge are pins of an interlock loop: a bridge, not a resistor of the controller.
fn is_loop(vehicle: &Vehicle<'_>, edge: &Edge) -> bool {
    [edge.a, edge.b].iter().all(|point| vehicle.facts.model().role_at(*point) == Some(Role::Interlock))
}

/// The voltage behind each contactor of class B, against the negative pole of its battery.
fn behind_contactors(vehicle: &Vehicle<'_>, after: &Snapshot<'_, '_>) -> Vec<Read> {
    let (facts, network) = (vehicle.facts, vehicle.facts.network());
    let mut found = Vec::new();
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_relay_contact() && is_contactor(facts, edge)) {
        if after.state.conducts(id) {
            continue;
        }
        let far = if after.state.is_fed(edge.a) { edge.b } else { edge.a };
        let minus = vehicle.batteries.iter().find(|battery| battery.class_b).map(|battery| battery.poles[0]);
        let read = vehicle.probed(far).zip(minus).and_then(|(point, minus)| after.read_volts(point, minus, false));
        found.extend(read);
    }
    found
}

/// What a mode charges through a resistor as it begins.
fn watched(vehicle: &Vehicle<'_>, mode: ModeId) -> Vec<Watched> {
    let precharges = vehicle.facts.precharges().iter();
    let own =
        precharges.filter(|one| one.mode == mode || one.soft.contains(&mode) || one.is_within && one.closed.contains(&mode));
    let watched = own.map(|one| {
        let charging = one.charging();
        let nine_tenths = one.time.map(|time| (time, charging.after(time)));
        let nearly = charging.time_to(0.99).map(|time| (time, charging.after(time)));
        Watched { precharge: one.clone(), at: nine_tenths.into_iter().chain(nearly).collect() }
    });
    watched.collect()
}

/// The most that may flow in what hands make or open: of class B next to nothing.
pub(super) fn bearable(class_b: bool) -> f64 {
    if class_b { trickle() } else { spark() }.value.get()
}
