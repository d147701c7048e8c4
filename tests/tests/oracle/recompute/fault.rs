//! A short by one dense matrix: what the design is to a fault current, with figures of our own for metal, fuses and batteries.
//!
//! Taken from the library: what joins what, which `oracle/second_reader` compares, and which relays have pulled in, which `oracle/spice`
//! does. Loads, coils and converter inputs draw nothing while the voltage has collapsed (IEC 60909-0).

use super::{
    Twice,
    flow::groups,
    reading::{FuseLink, Lies},
};
use crate::oracle::dense::short::short;
use harness_core::{
    internals::{
        circuit::{Branch, BranchKind, Circuit},
        electrical::ModeState,
        model::{ElementId, ElementKind, EndId, Mate, PointKind},
        network::{Edge, EdgeKind, EdgeRole, domains},
    },
    quantity::{Ohm, Volt},
};
use std::collections::BTreeMap;

/// Largest resistance at 20 degC in mohm/m: ISO 6722-1, makers' datasheets and an automotive handbook (seen).
#[expect(clippy::approx_constant, reason = "6 mm2 has 3.14 mohm/m; the circle has no part in it")]
const ROAD: [(f64, f64); 19] = [
    (0.22, 84.4),
    (0.35, 54.4),
    (0.5, 37.1),
    (0.75, 24.7),
    (1.0, 18.5),
    (1.5, 12.7),
    (2.0, 9.42),
    (2.5, 7.6),
    (3.0, 6.15),
    (4.0, 4.71),
    (6.0, 3.14),
    (10.0, 1.82),
    (16.0, 1.16),
    (25.0, 0.743),
    (35.0, 0.527),
    (50.0, 0.368),
    (70.0, 0.259),
    (95.0, 0.196),
    (120.0, 0.153),
];
/// Common practice, no source: a plug contact, a ring on its stud, a closed contact or link, a conducting diode, a new 12 V battery.
const PLUG: f64 = 2e-3;
const RING: f64 = 1e-4;
const CLOSED: f64 = 1e-4;
const DIODE: f64 = 10e-3;
const BATTERY: f64 = 10e-3;
/// An aged, cold battery has twice the resistance of a new one (common practice, no source).
const AGED: f64 = 2.0;
/// What lets less through counts for nothing in a fault, in A.
const TRICKLE: f64 = 0.1;
/// Fuses that open one after the other.
const MOST_STAGES: usize = 16;
/// Times that differ by less, as a share, are one.
pub const TOGETHER: f64 = 1e-6;

/// How warm the copper is, and how old the battery.
#[derive(Clone, Copy, PartialEq)]
pub enum Weather {
    /// Conductors at their rated temperature, batteries aged and cold: the smallest current.
    Least,
    /// Conductors at 20 degC, batteries new and warm: the largest.
    Most,
}

#[derive(Clone, Copy)]
struct Piece {
    a: usize,
    b: usize,
    kind: BranchKind,
    wire: Option<usize>,
    fuse: Option<ElementId>,
}

/// A fuse as built in.
pub struct Fuse {
    pub name: String,
    pub ends: (usize, usize),
    /// What is printed of it; `None` where the design names no kind.
    pub link: Option<FuseLink>,
}

/// What flows until the next fuse opens.
#[derive(Debug)]
pub struct Stage {
    pub wires: Vec<(usize, f64)>,
    pub fuses: Vec<(ElementId, f64)>,
    /// The fuse that opens first, and when; `None` where none does.
    pub opens: Option<(ElementId, f64)>,
    /// A fuse of which no times are printed carries more than its rating.
    pub blind: bool,
}

/// All metal of one mode.
pub struct Metal {
    pieces: Vec<Piece>,
    points: usize,
    /// Pieces at each point.
    around: Vec<Vec<usize>>,
    /// What closed metal and sources join.
    island: Vec<usize>,
    /// To which points a fault may be bolted, by island.
    returns: BTreeMap<usize, Vec<usize>>,
    /// The positive poles of sources without a limit, by island.
    tops: BTreeMap<usize, Vec<usize>>,
    /// Which points are outside of boxes.
    outside: Vec<bool>,
}

fn milliohm(size: f64) -> f64 {
    let scaled = |row: &(f64, f64)| row.0 * row.1 / size;
    match ROAD.iter().position(|row| row.0 >= size * (1.0 - 1e-9)) {
        Some(at) if (ROAD[at].0 / size - 1.0).abs() < 1e-6 => ROAD[at].1,
        Some(0) => scaled(&ROAD[0]),
        Some(above) => scaled(&ROAD[above - 1]).max(scaled(&ROAD[above])),
        None => scaled(&ROAD[18]),
    }
}

fn wire(lies: &Lies, weather: Weather) -> f64 {
    let warm = if weather == Weather::Least { (234.5 + lies.rated) / 254.5 } else { 1.0 };
    (milliohm(lies.size) * 1e-3 * lies.length).max(1e-6) * warm
}

impl Metal {
    pub fn new(twice: &Twice, mode: &ModeState, weather: Weather) -> Self {
        let (model, network) = (twice.analysis.model(), twice.analysis.network());
        let domains = domains(network);
        let highest = model.domains().map(|(_, domain)| domain.max.get()).fold(0.0, f64::max);
        let max = |point| domains.of(point).map_or(highest, |domain| model[domain].max.get());
        let metal = |ohms: f64| Some(BranchKind::Resistance(Ohm::new(ohms)));
        let inner = |edge: &Edge, new: Option<f64>, aged: Option<f64>, ages: bool| {
            let new_one = new.or(aged.map(|aged| aged / AGED)).unwrap_or(BATTERY);
            let aged_one = aged.unwrap_or(new_one * AGED).max(new_one);
            let alternates = domains.of(edge.b).is_some_and(|domain| model[domain].ac);
            if weather == Weather::Least && ages && !alternates { aged_one } else { new_one }
        };
        let contact = |end: EndId| {
            let end = &model[end];
            let own = end.housing().and_then(|housing| model[housing].contact_resistance);
            let partner = match end.mate {
                Some(Mate::Port(port)) => model[port].housing().and_then(|housing| model[housing].contact_resistance),
                _ => None,
            };
            own.or(partner).or(model.policy.contact_resistance).map_or(PLUG, |at| at.value.get())
        };
        let element = |id, edge: &Edge, element: ElementId| match &model[element].kind {
            ElementKind::Source { emf, resistance, aged, limit, modes, .. } if modes.has(mode.id) => {
                let (new, old) = (resistance.map(|at| at.value.get()), aged.map(|at| at.value.get()));
                let resistance = Ohm::new(inner(edge, new, old, limit.is_none()));
                Some(BranchKind::Source { emf: *emf, resistance, limit: limit.map(|at| at.value) })
            }
            ElementKind::Converter { output, limit, resistance, modes, .. }
                if modes.has(mode.id) && matches!(edge.role, EdgeRole::ConverterOutput { .. }) =>
            {
                let resistance = Ohm::new(resistance.map_or(BATTERY, |at| at.value.get()));
                Some(BranchKind::Source { emf: *output, resistance, limit: limit.map(|at| at.value) })
            }
            ElementKind::Resistor(ohms) => {
                let passes = max(edge.a).max(max(edge.b)) >= TRICKLE * ohms.ohm.value.get();
                passes.then_some(BranchKind::Resistance(ohms.ohm.value))
            }
            ElementKind::Diode(drop) => Some(BranchKind::Diode { drop: drop.value, resistance: Ohm::new(DIODE) }),
            ElementKind::Fuse { fitted: true, .. } => {
                let link = twice.fuses[&element].link.as_ref();
                metal(link.map_or(CLOSED, FuseLink::cold))
            }
            ElementKind::Switch { closed, contact_resistance, .. } if closed.has(mode.id) => {
                metal(contact_resistance.map_or(CLOSED, |at| at.value.get()))
            }
            ElementKind::Disconnect { out, contact_resistance, .. } if !out.has(mode.id) => {
                metal(contact_resistance.map_or(CLOSED, |at| at.value.get()))
            }
            ElementKind::Relay { contact_resistance, .. } if edge.role != EdgeRole::Coil && mode.conducts(id) => {
                metal(contact_resistance.map_or(CLOSED, |at| at.value.get()))
            }
            ElementKind::Link { resistance, .. } => {
                metal(resistance.map(|at| at.value.get()).filter(|ohms| *ohms > 0.0).unwrap_or(CLOSED))
            }
            ElementKind::Interlock { .. } => metal(CLOSED),
            ElementKind::Source { .. } | ElementKind::Converter { .. } | ElementKind::Load { .. } => None,
            ElementKind::Capacitor(_) | ElementKind::Relay { .. } | ElementKind::Fuse { .. } => None,
            ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => None,
        };
        let piece = |(id, edge): (_, &Edge)| {
            let (kind, conductor, fuse) = match edge.kind {
                EdgeKind::Wire(id) => (metal(wire(&twice.lies[id.index()], weather)), Some(id.index()), None),
                EdgeKind::Screen(_) => (metal(PLUG), None, None),
                EdgeKind::Contact(end) => (metal(contact(end)), None, None),
                EdgeKind::Joint(_) => (metal(model.policy.joint_resistance.map_or(RING, |at| at.value.get())), None, None),
                EdgeKind::Chassis(_) => (metal(CLOSED), None, None),
                EdgeKind::Element(of) => (element(id, edge, of), None, twice.fuses.contains_key(&of).then_some(of)),
            };
            Some(Piece { a: edge.a.index(), b: edge.b.index(), kind: kind?, wire: conductor, fuse })
        };
        let pieces: Vec<Piece> = network.edges().filter_map(piece).filter(|piece| piece.a != piece.b).collect();
        let points = network.point_count();
        let mut around = vec![Vec::new(); points];
        for (at, piece) in pieces.iter().enumerate() {
            around[piece.a].push(at);
            around[piece.b].push(at);
        }
        let island = groups(points, pieces.iter().map(|piece| (piece.a, piece.b)));
        let mut metal =
            Self { pieces, points, around, island, returns: BTreeMap::new(), tops: BTreeMap::new(), outside: Vec::new() };
        metal.find_returns(twice);
        metal
    }

    /// The negative poles of sources, those with a limit where there is no other, and the chassis.
    fn find_returns(&mut self, twice: &Twice) {
        let model = twice.analysis.model();
        self.outside = model.points().map(|(_, point)| !matches!(point.kind, PointKind::Node(_))).collect();
        for piece in &self.pieces {
            if let BranchKind::Source { limit: None, .. } = piece.kind {
                self.tops.entry(self.island[piece.b]).or_default().push(piece.b);
            }
        }
        // Between two modules of a string nothing returns.
        let top: Vec<usize> = self.tops.values().flatten().copied().collect();
        for limited in [false, true] {
            let mut found: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
            for piece in &self.pieces {
                if let BranchKind::Source { limit, .. } = piece.kind
                    && limit.is_some() == limited
                    && !top.contains(&piece.a)
                {
                    found.entry(self.island[piece.a]).or_default().push(piece.a);
                }
            }
            found.into_iter().for_each(|(island, poles)| {
                self.returns.entry(island).or_insert(poles);
            });
        }
        let chassis = model.devices().filter(|(_, device)| device.chassis);
        for point in chassis.filter_map(|(_, device)| model.points_of(device).next()).map(|point| point.index()) {
            if let Some(returns) = self.returns.get_mut(&self.island[point]) {
                returns.push(point);
            }
        }
        self.returns.values_mut().for_each(|returns| {
            returns.sort_unstable();
            returns.dedup();
        });
    }

    pub fn returns(&self, point: usize) -> &[usize] {
        self.returns.get(&self.island[point]).map_or(&[], Vec::as_slice)
    }

    /// The poles to which a terminal of a fuse may be shorted.
    pub fn poles(&self, point: usize) -> impl Iterator<Item = usize> {
        let tops = self.tops.get(&self.island[point]).map_or(&[] as &[usize], Vec::as_slice);
        self.returns(point).iter().chain(tops).copied()
    }

    /// Those that are within reach: nobody shorts what is inside a box.
    pub fn returns_outside(&self, point: usize) -> impl Iterator<Item = usize> {
        self.returns(point).iter().copied().filter(|back| self.outside[*back])
    }

    /// The pieces between two points: dead ends, which carry nothing, are cut back until none is left.
    fn between(&self, pair: (usize, usize), opened: &[ElementId]) -> Vec<usize> {
        let island = self.island[pair.0];
        let mut alive: Vec<bool> = self
            .pieces
            .iter()
            .map(|piece| self.island[piece.a] == island && !piece.fuse.is_some_and(|fuse| opened.contains(&fuse)))
            .collect();
        let mut degree: Vec<usize> = self.around.iter().map(|around| around.iter().filter(|at| alive[**at]).count()).collect();
        let is_end = |point: usize| point == pair.0 || point == pair.1;
        let mut waiting: Vec<usize> = (0..self.points).filter(|point| degree[*point] == 1 && !is_end(*point)).collect();
        while let Some(point) = waiting.pop() {
            let Some(at) = self.around[point].iter().copied().find(|at| alive[*at]) else { continue };
            alive[at] = false;
            let piece = &self.pieces[at];
            let other = if piece.a == point { piece.b } else { piece.a };
            degree[point] -= 1;
            degree[other] -= 1;
            if degree[other] == 1 && !is_end(other) {
                waiting.push(other);
            }
        }
        (0..self.pieces.len()).filter(|at| alive[*at]).collect()
    }

    /// The currents that a short drives through the pieces between its two points.
    fn currents(&self, pair: (usize, usize), opened: &[ElementId]) -> Vec<(usize, f64)> {
        let kept = self.between(pair, opened);
        let mut numbers: BTreeMap<usize, u32> = BTreeMap::new();
        let mut number = |point: usize| {
            let next = numbers.len() as u32;
            *numbers.entry(point).or_insert(next)
        };
        let ends = (number(pair.0), number(pair.1));
        let branches: Vec<Branch> = kept
            .iter()
            .map(|at| Branch { from: number(self.pieces[*at].a), to: number(self.pieces[*at].b), kind: self.pieces[*at].kind })
            .collect();
        let is_source = |branch: &&Branch| matches!(branch.kind, BranchKind::Source { .. });
        let sources = branches.iter().filter(is_source).count();
        if sources == 0 {
            return Vec::new();
        }
        let circuit = Circuit { nodes: numbers.len() as u32, branches, references: Vec::new() };
        let found = short(&circuit, Some(ends));
        if found.amps.abs() < 1e-6 {
            return Vec::new();
        }
        // What a current from one point to the other would pass, whatever the sources do: through resistances that balance no bridge.
        let resistance = |(at, branch): (usize, &Branch)| Branch {
            kind: BranchKind::Resistance(Ohm::new(1.0 + (at as f64 * 0.618_034).fract())),
            ..*branch
        };
        let mut probe: Vec<Branch> = circuit.branches.iter().enumerate().map(resistance).collect();
        let battery = BranchKind::Source { emf: Volt::new(1.0), resistance: Ohm::new(1.0), limit: None };
        probe.push(Branch { from: ends.1, to: ends.0, kind: battery });
        let probe = short(&Circuit { branches: probe, ..circuit }, None);
        let on_the_way = |at: &usize| probe.branches[*at].abs() > 1e-9;
        (0..kept.len()).filter(on_the_way).map(|at| (kept[at], found.branches[at].abs())).collect()
    }

    /// The current that a short drives through a fuse.
    pub fn through(&self, fuse: ElementId, pair: (usize, usize)) -> f64 {
        let currents = self.currents(pair, &[]);
        currents.iter().filter(|(at, _)| self.pieces[*at].fuse == Some(fuse)).fold(0.0, |most, (_, amps)| f64::max(most, *amps))
    }

    /// What a short does until nothing flows, or nothing opens.
    ///
    /// Of fuses that open together the first one does, or with `is_last` the last: each is taken cold when another has opened.
    pub fn strike(&self, pair: (usize, usize), fuses: &BTreeMap<ElementId, Fuse>, is_last: bool) -> Vec<Stage> {
        let mut stages: Vec<Stage> = Vec::new();
        let mut opened = Vec::new();
        while stages.len() < MOST_STAGES {
            let currents = self.currents(pair, &opened);
            if currents.is_empty() {
                break;
            }
            let mut stage = Stage { wires: Vec::new(), fuses: Vec::new(), opens: None, blind: false };
            for (at, amps) in currents {
                let piece = &self.pieces[at];
                stage.wires.extend(piece.wire.map(|wire| (wire, amps)));
                let Some(fuse) = piece.fuse else { continue };
                stage.fuses.push((fuse, amps));
                let link = fuses.get(&fuse).and_then(|fuse| fuse.link.as_ref());
                match link.and_then(|link| link.opens(amps)) {
                    Some(time)
                        if time.is_finite()
                            && stage.opens.is_none_or(|(_, first)| {
                                if is_last { time < first * (1.0 + TOGETHER) } else { time < first * (1.0 - TOGETHER) }
                            }) =>
                    {
                        stage.opens = Some((fuse, time));
                    }
                    Some(_) => {}
                    None => stage.blind |= link.is_none_or(|link| amps > link.rating),
                }
            }
            opened.extend(stage.opens.map(|(fuse, _)| fuse));
            let ends = stage.opens.is_none();
            stages.push(stage);
            if ends {
                break;
            }
        }
        stages
    }
}
