//! From a loom of a design to the same loom on the rig.

use super::bare::{Bare, End, Join, Joined, Kind, Place, Plug, Spot};
use crate::{
    arena::IdVec,
    electrical::conductors::{conductor::resistance_as, joint},
    model::{Element, ElementKind, EndId, EndKind, LoomId, Model, Owner, PointId, PointKind, Wire},
    standards::{bus, contact, ring_out},
    vocabulary::RelayKind,
};
use rustc_hash::FxHashMap;

/// A loom on the rig, with what of it is what in the design.
pub(super) struct Taken {
    pub(super) bare: Bare,
    /// The point of each spot.
    pub(super) points: IdVec<Spot, PointId>,
    pub(super) spots: FxHashMap<PointId, Spot>,
    /// What the design does not say, so that a limit could not be computed.
    pub(super) unknown: Vec<String>,
}

pub(super) fn taken(model: &Model, loom: LoomId) -> Taken {
    let mut taker = Taker {
        model,
        taken: Taken { bare: Bare::default(), points: IdVec::new(), spots: FxHashMap::default(), unknown: Vec::new() },
        without_length: Vec::new(),
    };
    for end in &model[loom].ends {
        taker.end(*end);
    }
    for (_, splice) in model.splices().filter(|(_, splice)| splice.loom == loom) {
        taker.spot(splice.point, None);
    }
    for (id, wire) in model.wires().filter(|(_, wire)| wire.loom == loom) {
        taker.wire(&model.wire_name(id), wire);
    }
    taker.screens(loom);
    for (id, element) in model.elements().filter(|(_, element)| element.owner == Owner::Loom(loom)) {
        taker.element(&model.element_name(id), element);
    }
    taker.finish()
}

struct Taker<'m> {
    model: &'m Model,
    taken: Taken,
    without_length: Vec<String>,
}

impl Taker<'_> {
    /// The spot of a point, made where it is not there yet: an inner point of an element in line.
    fn spot(&mut self, point: PointId, plug: Option<Plug>) -> Spot {
        if let Some(spot) = self.taken.spots.get(&point) {
            return *spot;
        }
        let contact = match self.model[point].kind {
            PointKind::Cavity(end) => joint::mated(self.model, end).get(),
            PointKind::Ring(_) => joint::bolted(self.model).get(),
            PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) | PointKind::Splice(_) => 0.0,
        };
        let place = Place {
            name: self.model.point_name(point),
            plug,
            is_open: plug.is_some() || self.model.is_test_point(point),
            is_used: false,
            contact,
        };
        let spot = self.taken.bare.spots.push(place);
        self.taken.points.push(point);
        self.taken.spots.insert(point, spot);
        spot
    }

    fn end(&mut self, id: EndId) {
        let (model, end) = (self.model, &self.model[id]);
        let plug = self.taken.bare.plugs.next_id();
        let spots: Vec<Spot> = end.points.iter().map(|point| self.spot(point, Some(plug))).collect();
        let row = |labels: &Vec<_>| -> Option<Vec<Spot>> {
            labels.iter().map(|label| self.taken.spots.get(&model.position_of(end.points, *label)?).copied()).collect()
        };
        let face = end.housing().map(|housing| &model[housing].face);
        // A face that does not name each position once says nothing of neighbours.
        let rows: Option<Vec<Vec<Spot>>> = face.and_then(|face| face.iter().map(row).collect());
        let rows = rows.filter(|rows| rows.iter().map(Vec::len).sum::<usize>() == spots.len()).unwrap_or_default();
        let noun = match end.kind {
            EndKind::Connector(_) => "connector",
            EndKind::Ring(_) => "ring",
            EndKind::Bare => "bare end",
        };
        self.taken.bare.plugs.push(End { name: model.end_name(id), noun, spots, rows });
    }

    fn join(&mut self, name: &str, noun: &'static str, [from, to]: [PointId; 2], kind: Kind) -> Join {
        let (from, to) = (self.spot(from, None), self.spot(to, None));
        for spot in [from, to] {
            self.use_of(spot);
        }
        self.taken.bare.joins.push(Joined { name: name.to_owned(), noun, from, to, kind })
    }

    fn use_of(&mut self, spot: Spot) {
        self.taken.bare.spots[spot].is_used = true;
    }

    fn wire(&mut self, name: &str, wire: &Wire) {
        match (wire.from, wire.to) {
            (Some(from), Some(to)) => {
                let ohm = self.ohm(wire);
                if ohm.is_none() {
                    self.without_length.push(name.to_owned());
                }
                self.join(name, "wire", [from, to], Kind::Metal(ohm));
            }
            (Some(point), None) | (None, Some(point)) => {
                let spot = self.spot(point, None);
                self.use_of(spot);
            }
            (None, None) => {}
        }
    }

    /// The most resistance that a wire has; `None` where its length or size is not given.
    fn ohm(&self, wire: &Wire) -> Option<f64> {
        let per_metre = resistance_as(self.model, wire, wire.size?.value)?;
        Some((per_metre * wire.length?.value).get())
    }

    fn screens(&mut self, loom: LoomId) {
        let model = self.model;
        for (id, cable) in model.cables().filter(|(_, cable)| cable.loom == loom) {
            let ends: Vec<PointId> = cable.screen.into_iter().flatten().map(|(point, _)| point).collect();
            let spots: Vec<Spot> = ends.iter().map(|point| self.spot(*point, None)).collect();
            for spot in &spots {
                self.use_of(*spot);
            }
            if let [from, to] = ends.as_slice() {
                self.join(&model.cable_name(id), "screen", [*from, *to], Kind::Metal(None));
            }
            let cores = model.wires().filter(|(_, wire)| wire.core.is_some_and(|(of, _)| of == id));
            let mut pairs = Vec::new();
            for (_, core) in cores {
                let reached = [core.from, core.to].into_iter().flatten().filter_map(|point| self.taken.spots.get(&point));
                let is_open = |spot: &Spot| self.taken.bare.spots[*spot].is_open;
                let screen = spots.iter().copied().find(is_open);
                // At the end where the screen can be reached, if the core can be reached there too.
                let same = |spot: &Spot| {
                    screen.is_some_and(|screen| self.taken.bare.spots[*spot].plug == self.taken.bare.spots[screen].plug)
                };
                let reached: Vec<Spot> = reached.copied().filter(is_open).collect();
                let core = reached.iter().copied().find(same).or(reached.first().copied());
                pairs.extend(screen.zip(core));
            }
            self.taken.bare.screened.extend(pairs);
        }
    }

    fn element(&mut self, name: &str, element: &Element) {
        let points = &element.points;
        match &element.kind {
            ElementKind::Resistor(resistor) => {
                let ohm = resistor.ohm.value.get();
                let tolerance = if resistor.terminator.is_some() {
                    let [least, nominal, _] = bus::terminator().value;
                    1.0 - least.get() / nominal.get()
                } else {
                    ring_out::resistor_tolerance().value.get()
                };
                self.two(name, element, "resistor", Kind::Resistor(ohm, tolerance));
            }
            ElementKind::Diode(drop) => self.two(name, element, "diode", Kind::Diode(drop.value.get())),
            ElementKind::Fuse { kind, fitted } => {
                if *fitted {
                    let rating = kind.and_then(|kind| self.model[kind].rating);
                    let own = kind.and_then(|kind| self.model[kind].resistance).map(|ohm| ohm.value);
                    let usual = || rating.and_then(|rating| contact::fuse_resistance(rating.value)).map(|ohm| ohm.value);
                    self.two(name, element, "fuse", Kind::Metal(own.or_else(usual).map(|ohm| ohm.get())));
                } else {
                    self.only_used(element);
                }
            }
            ElementKind::Interlock { resistance, .. } => {
                let ohm = resistance.map_or(contact::closed_resistance().value, |ohm| ohm.value);
                self.two(name, element, "interlock bridge", Kind::Metal(Some(ohm.get())));
            }
            ElementKind::Link { fitted, .. } => {
                let ohm = joint::bar(element).map(|ohm| ohm.get());
                let pairs: Vec<[PointId; 2]> =
                    points.iter().copied().zip(points.iter().copied().skip(1)).map(|(one, other)| [one, other]).collect();
                for pair in pairs.into_iter().filter(|_| *fitted) {
                    self.join(name, "link", pair, Kind::Metal(ohm));
                }
                if !*fitted {
                    self.only_used(element);
                }
            }
            // Charged by the meter it blocks.
            ElementKind::Capacitor(_) => self.only_used(element),
            ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => self.two(name, element, "contact", Kind::Vague),
            ElementKind::Source { .. } => self.two(name, element, "source", Kind::Vague),
            ElementKind::Load { .. } => self.two(name, element, "load", Kind::Vague),
            ElementKind::Converter { .. } => {
                let [in_plus, in_minus, out_plus, out_minus] = points.exactly();
                for pair in [[in_plus, in_minus], [out_plus, out_minus], [in_minus, out_minus]] {
                    self.join(name, "converter", pair, Kind::Vague);
                }
            }
            ElementKind::Relay { contact, coil_of, .. } => {
                let all: Vec<PointId> = points.to_vec();
                if let ([plus, minus, ..], None) = (all.as_slice(), coil_of) {
                    self.join(name, "coil", [*plus, *minus], Kind::Vague);
                }
                let contacts: &[[usize; 2]] = match contact {
                    RelayKind::NormallyOpen | RelayKind::NormallyClosed => &[[2, 3]],
                    RelayKind::Changeover => &[[2, 3], [2, 4]],
                };
                for [a, b] in contacts {
                    if let (Some(a), Some(b)) = (all.get(*a), all.get(*b)) {
                        self.join(name, "contact", [*a, *b], Kind::Vague);
                    }
                }
            }
        }
    }

    fn two(&mut self, name: &str, element: &Element, noun: &'static str, kind: Kind) {
        self.join(name, noun, element.points.exactly(), kind);
    }

    /// What joins nothing on the rig, though something is at its points.
    fn only_used(&mut self, element: &Element) {
        let points: Vec<PointId> = element.points.to_vec();
        for point in points {
            let spot = self.spot(point, None);
            self.use_of(spot);
        }
    }

    fn finish(mut self) -> Taken {
        if !self.without_length.is_empty() {
            let few: Vec<String> = self.without_length.iter().take(5).map(|name| format!("`{name}`")).collect();
            let more = self.without_length.len() - few.len();
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            self.taken.unknown.push(format!(
                "length or size of {}{more}: their limit is the usual {}, {}",
                few.join(", "),
                ring_out::continuity().value,
                ring_out::continuity().source
            ));
        }
        self.taken
    }
}
