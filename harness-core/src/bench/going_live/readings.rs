//! What a meter shows in one exact state: where, against what, and between which limits a sound reading is.
//!
//! The idea: the state gives the figure. A conductor that closed contacts lead to a supply reads no more than that supply and no less than what the
//! conductors on the way, at the most resistance that they may have, leave of it when the loads take a quarter more. What resistors
//! divide is within their error, and what nothing feeds reads next to nothing.

use super::vehicle::Vehicle;
use crate::{
    arena::IdVec,
    electrical::ModeState,
    model::{ElementId, PointId, PointKind, WireId},
    network::{Components, EdgeId, EdgeKind, GroupId},
    quantity::{Ampere, Volt},
    standards::reading::{
        METER_DIGITS, battery_spread, clamp_error, digit, divided_spread, load_spread, meter_error, nothing, regulated_spread,
    },
};
use std::collections::BTreeSet;

/// Voltage from which on something has power.
pub(super) const POWERED: f64 = 1.0;

/// Volts and amperes below which a figure is rounding.
const ROUNDING: f64 = 1e-6;
/// Voltages below so many times what a meter shows of nothing have the limits of nothing.
const NEAR_NOTHING: f64 = 3.0;

fn snapped(figure: f64) -> f64 {
    if figure.abs() < ROUNDING { 0.0 } else { figure }
}

/// What is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expected {
    /// A voltage: as computed, the least and the most that a sound vehicle gives.
    Volts(Volt, Volt, Volt),
    /// A current, likewise.
    Amps(Ampere, Ampere, Ampere),
}

/// How it is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// With the probes of a voltmeter.
    Probes,
    /// At a point that the design marks as one to measure at.
    TestPoint,
    /// With a clamp meter around the conductor.
    Clamp,
    /// With a clamp meter around a lead with a fuse of its own in the place of the fuse: nothing outside carries its current alone.
    InPlace,
    /// With the plug off, at both of its halves one after the other: the contacts are covered as long as it is mated.
    Unplugged,
    /// As the box or its display reports it: the contacts are covered and stay so.
    Reported,
}

/// Where something is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A voltage at a point, against another.
    Between(PointId, PointId),
    /// A current in an element: the edge, and the element.
    In(EdgeId, ElementId),
}

/// A reading with ids.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// Where.
    pub place: Place,
    /// What.
    pub expected: Expected,
    /// How.
    pub how: How,
    /// It is made before hands do what the step asks for.
    pub before: bool,
}

impl Read {
    /// Whether it is a voltage by which something has power, of either sign.
    pub(super) fn has_power(&self) -> bool {
        match self.expected {
            Expected::Volts(volts, ..) => volts.get().abs() > POWERED,
            Expected::Amps(..) => false,
        }
    }
}

/// A state with what joins what in it.
pub(super) struct Snapshot<'v, 'f> {
    vehicle: &'v Vehicle<'f>,
    pub(super) state: ModeState,
    joined: Components,
    leads: Components,
    /// Of what closed contacts join, the lowest and the highest voltage.
    ends: IdVec<GroupId, (f64, f64)>,
    /// Groups that a battery feeds.
    batteries: BTreeSet<GroupId>,
    /// The negative outputs of all that drives, where a probe reaches them, those of the highest voltage first.
    outputs: Vec<PointId>,
    /// Groups that a source of any kind feeds.
    fed: BTreeSet<GroupId>,
}

impl<'v, 'f> Snapshot<'v, 'f> {
    pub(super) fn new(vehicle: &'v Vehicle<'f>, state: ModeState) -> Self {
        let network = vehicle.facts.network();
        let joined = network.components(|id, edge| state.conducts(id) && edge.role.is_galvanic());
        let leads =
            network.components(|id, edge| state.conducts(id) && edge.role.conducts_when_closed() && !edge.role.is_one_way());
        let mut ends = leads.table((f64::INFINITY, f64::NEG_INFINITY));
        for (group, points) in leads.iter() {
            for point in points {
                let volts = state.volts(*point).get();
                ends[group] = (ends[group].0.min(volts), ends[group].1.max(volts));
            }
        }
        let (mut batteries, mut fed, mut outputs) = (BTreeSet::new(), BTreeSet::new(), Vec::new());
        for (id, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            if state.conducts(id) {
                fed.extend([leads.of(edge.a), leads.of(edge.b)]);
                if !edge.role.takes_charge() {
                    let volts = (state.volts(edge.b) - state.volts(edge.a)).get();
                    outputs.extend(vehicle.probed(edge.a).map(|minus| (minus, volts)));
                }
                if edge.role.takes_charge() {
                    batteries.extend([leads.of(edge.a), leads.of(edge.b)]);
                }
            }
        }
        outputs.sort_by(|(_, one), (_, other): &(PointId, f64)| other.total_cmp(one));
        let outputs = outputs.into_iter().map(|(minus, _)| minus).collect();
        Self { vehicle, state, joined, leads, ends, batteries, outputs, fed }
    }

    /// Whether the point has figures: it is in a part of the vehicle that came to a steady state.
    pub(super) fn has_figures(&self, point: PointId) -> bool {
        !self.state.is_adrift(point) && !self.state.is_shorted(point)
    }

    /// The voltage of a point against another; zero where nothing joins them.
    pub(super) fn volts(&self, point: PointId, against: PointId) -> f64 {
        if self.joined.of(point) == self.joined.of(against) {
            (self.state.volts(point) - self.state.volts(against)).get()
        } else {
            0.0
        }
    }

    /// A voltage as a meter shows it.
    pub(super) fn read_volts(&self, point: PointId, against: PointId, before: bool) -> Option<Read> {
        let how = self.vehicle.how(point)?;
        if !self.has_figures(point) || !self.has_figures(against) {
            return None;
        }
        let volts = snapped(self.volts(point, against));
        let (least, most) = self.limits(point, against, volts);
        let expected = Expected::Volts(Volt::new(volts), Volt::new(least), Volt::new(most));
        Some(Read { place: Place::Between(point, against), expected, how, before })
    }

    /// A voltage that must be none, read by hand; `None` where it is not: then no work frees the contact of it.
    pub(super) fn proven(&self, point: PointId, against: PointId) -> Option<Read> {
        let how = if self.vehicle.facts.model().is_test_point(point) { How::TestPoint } else { How::Probes };
        let read = self.read_volts(point, against, false)?;
        let is_dead = self.volts(point, against).abs() < nothing().value.get();
        is_dead.then_some(Read { how, ..read })
    }

    fn limits(&self, point: PointId, against: PointId, volts: f64) -> (f64, f64) {
        let error = |volts: f64| {
            let share = self.vehicle.facts.model().bench.error.map_or(meter_error().value, |error| error.value);
            volts.abs() * share.get() + METER_DIGITS * digit(Volt::new(volts)).get()
        };
        let nothing = nothing().value.get();
        if volts.abs() < NEAR_NOTHING * nothing {
            return ((volts - nothing).min(-nothing), (volts + nothing).max(nothing));
        }
        let (group, other) = (self.leads.of(point), self.leads.of(against));
        let is_fed = self.fed.contains(&group) && self.fed.contains(&other) && group != other && volts > 0.0;
        let spread =
            |group: GroupId| if self.batteries.contains(&group) { battery_spread() } else { regulated_spread() }.value.get();
        if is_fed {
            let supply = self.ends[group].1 - self.ends[other].0;
            let (own, drop) = (supply.max(volts), (supply - volts).max(0.0));
            let spread = spread(group).max(spread(other)) * own;
            return (volts - load_spread().value.get() * drop - spread - error(volts), own + spread + error(own));
        }
        let spread = volts.abs() * (divided_spread().value.get() + battery_spread().value.get()) + error(volts);
        (volts - spread, volts + spread)
    }

    /// A current as a clamp meter shows it.
    pub(super) fn read_amps(&self, edge: EdgeId, element: ElementId) -> Option<Read> {
        let at = self.vehicle.facts.network()[edge];
        if !self.has_figures(at.a) {
            return None;
        }
        let amps = snapped(self.state.amps(edge).get().abs());
        let slack = load_spread().value.get() * amps + clamp_error().value.get();
        let expected = Expected::Amps(Ampere::new(amps), Ampere::new((amps - slack).max(0.0)), Ampere::new(amps + slack));
        Some(Read { place: Place::In(edge, element), expected, how: self.vehicle.clamped(edge), before: false })
    }

    /// The negative post of a battery that is joined to a point, for the black lead; else the negative output of what feeds it.
    pub(super) fn reference(&self, point: PointId) -> Option<PointId> {
        let vehicle = self.vehicle;
        let class_b = vehicle.is_class_b(point);
        let is_joined = |minus: &PointId| {
            self.joined.of(*minus) == self.joined.of(point) && *minus != point && vehicle.is_class_b(*minus) == class_b
        };
        let posts = vehicle.batteries.iter().map(|battery| battery.poles[0]);
        posts.chain(self.outputs.iter().copied()).find(is_joined)
    }
}

impl Vehicle<'_> {
    /// How a point is read; `None` for one inside a box that nobody gets at.
    pub(super) fn how(&self, point: PointId) -> Option<How> {
        let model = self.facts.model();
        if model.is_test_point(point) {
            return Some(How::TestPoint);
        }
        // A contact of class A in a plug of class B is behind its cover too.
        let mut beside = model.plug_at(point).into_iter().flat_map(|port| model[port].points.iter());
        let is_covered = self.is_class_b(point) || beside.any(|other| self.is_class_b(other));
        let covered = if is_covered { How::Reported } else { How::Probes };
        match model[point].kind {
            PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Cavity(_) | PointKind::Ring(_) => Some(covered),
            PointKind::Node(_) | PointKind::Splice(_) => None,
        }
    }

    /// A point of the same metal that the design marks as one to measure at.
    pub(super) fn test_point(&self, point: PointId) -> Option<PointId> {
        let (model, network) = (self.facts.model(), self.facts.network());
        network.net_points(network.net(point)).iter().copied().filter(|other| model.is_test_point(*other)).min()
    }

    /// How the current in an element is read.
    fn clamped(&self, edge: EdgeId) -> How {
        let at = self.facts.network()[edge];
        match (self.around(edge).is_empty(), self.is_class_b(at.a) || self.is_class_b(at.b)) {
            (false, _) => How::Clamp,
            (true, true) => How::Reported,
            (true, false) if at.role.is_fuse() => How::InPlace,
            (true, false) => How::Clamp,
        }
    }

    /// The wires that carry the current of an element and no other, all of them together, at one of its ends; none where there are no such wires.
    pub(super) fn around(&self, edge: EdgeId) -> Vec<WireId> {
        let network = self.facts.network();
        let at = network[edge];
        [at.b, at.a].into_iter().map(|end| self.wires_of(edge, end)).find(|wires| !wires.is_empty()).unwrap_or_default()
    }

    /// The wires that leave a box at one end of an element where nothing else of the box is joined to it.
    fn wires_of(&self, edge: EdgeId, end: PointId) -> Vec<WireId> {
        let network = self.facts.network();
        let (mut metal, mut wires) = (vec![end], BTreeSet::new());
        let mut seen = BTreeSet::from([end]);
        while let Some(point) = metal.pop() {
            for (id, other, next) in network.around(point).filter(|(id, ..)| *id != edge) {
                match other.kind {
                    EdgeKind::Contact(_) | EdgeKind::Joint(_) => {
                        let there: Vec<WireId> = network.around(next).filter_map(|(_, edge, _)| edge.wire()).collect();
                        if there.is_empty() && network.around(next).any(|(other, ..)| other != id) {
                            // It goes on over something that no clamp goes around.
                            return Vec::new();
                        }
                        wires.extend(there);
                    }
                    EdgeKind::Element(_) if other.is_metal() => {
                        if seen.insert(next) {
                            metal.push(next);
                        }
                    }
                    EdgeKind::Wire(wire) => {
                        wires.insert(wire);
                    }
                    EdgeKind::Element(_) | EdgeKind::Chassis(_) | EdgeKind::Screen(_) => return Vec::new(),
                }
            }
        }
        wires.into_iter().collect()
    }

    /// Where a point is read: itself where a probe gets at it, else a point of the same metal in the same box, one to measure at first.
    pub(super) fn probed(&self, point: PointId) -> Option<PointId> {
        let model = self.facts.model();
        let network = self.facts.network();
        if self.how(point).is_some() && !matches!(model[point].kind, PointKind::Cavity(_) | PointKind::Ring(_)) {
            return Some(point);
        }
        let device = model.device_at(point);
        let rank = |other: PointId| {
            let at_box = device.is_some() && model.device_at(other) == device;
            (!model.is_test_point(other), !at_box, other)
        };
        let near = network.net_points(network.net(point)).iter().copied().filter(|other| self.how(*other).is_some());
        near.min_by_key(|other| rank(*other))
    }
}
