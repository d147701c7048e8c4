//! Where a conductor is missing: pins that need a wire and have none, and wires that end at nothing.

use super::{
    Facts,
    wire_ends::{WireEnd, WireEnds},
};
use crate::{
    arena::IdVec,
    model::{Element, ElementKind, EndId, EndKind, LoomId, Mate, Model, PinId, PointId, PointKind, PortKind, SpliceId},
    vocabulary::{Need, RelayKind},
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Pins and studs that need a wire and have none, in order.
    ///
    /// Asked by `netlist/unconnected-pin` and for what cuts loads off.
    #[must_use]
    pub fn unconnected(&self) -> &[PointId] {
        self.made.unconnected.get_or_init(|| unconnected(self.model(), self.wire_ends()))
    }

    /// Wires that end at nothing.
    ///
    /// Asked by `netlist/dangling-wire` and for what cuts loads off.
    #[must_use]
    pub fn dangling(&self) -> &[Dangling] {
        self.made.dangling.get_or_init(|| dangling(self.model(), self.wire_ends()))
    }
}

/// Why a wire end is at nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DeadEnd {
    /// Nothing else is in the splice.
    LoneSplice(SpliceId),
    /// The end neither mates nor is bolted to anything.
    MatesNothing(EndId),
    /// What the end mates has no such position.
    NoPosition(EndId),
    /// The cavity of the other loom holds no wire.
    EmptyCavity(PointId),
    /// The device's pin is spare.
    SparePin(PointId),
}

/// Wires that end at nothing for one reason.
#[derive(Debug)]
pub struct Dangling {
    /// DeadEnd.
    pub why: DeadEnd,
    /// The wires; empty for a splice without any.
    pub wires: Vec<WireEnd>,
}

/// The pins and studs that need a wire and have none, in order. Cost: a pass over the points.
fn unconnected(model: &Model, ends: &WireEnds) -> Vec<PointId> {
    let (other_sides, bridged) = (other_sides(model, ends), bridged_contacts(model));
    let bolted = bolted(model);
    let open = model.points().filter(|(id, point)| {
        matches!(point.kind, PointKind::Pin(_) | PointKind::Stud(_))
            && point.pin.map_or_else(|| other_sides.contains(id), |pin| needs_wire(model, pin))
            && model.is_fitted(*id)
            && ends.reaching(model, *id).is_none()
            && !bridged.contains(id)
            && !bolted.contains(id)
    });
    open.map(|(id, _)| id).collect()
}

/// Contacts of the interlock loop that the bridge in the plug closes and that the device leads on inside: the loop does not go through a
/// wire of that plug.
fn bridged_contacts(model: &Model) -> FxHashSet<PointId> {
    let is_bridge = |element: &Element| matches!(element.kind, ElementKind::Interlock { .. });
    let of = |bridges: bool| {
        model.elements().filter(move |(_, element)| is_bridge(element) == bridges).flat_map(|(_, element)| element.points.iter())
    };
    let led_on: FxHashSet<PointId> = of(false).copied().collect();
    of(true).copied().filter(|point| led_on.contains(point)).collect()
}

/// The points of bodies and of the metal that they are bolted to, where both are fitted.
fn bolted(model: &Model) -> FxHashSet<PointId> {
    let joints = model.ports().filter_map(|(body, port)| Some([body, port.body?]));
    let points = joints.map(|joint| joint.map(|port| model[port].points.get(0)));
    let fitted = points.filter(|joint| joint.iter().all(|point| point.is_some_and(|point| model.is_fitted(point))));
    fitted.flatten().flatten().collect()
}

/// Studs of which nothing is said but that a contact, or the one fuse of a holder, leads to them from a stud that has a wire: without one of
/// their own it switches or protects nothing. A spare contact has a wire at neither side; the third point of a changeover may well be spare,
/// and so may a way of a fuse box.
fn other_sides(model: &Model, ends: &WireEnds) -> FxHashSet<PointId> {
    let mut hanging: FxHashMap<PointId, usize> = FxHashMap::default();
    for point in model.elements().flat_map(|(_, element)| element.points.iter()) {
        *hanging.entry(*point).or_default() += 1;
    }
    let is_stud = |point: PointId| matches!(model[point].kind, PointKind::Stud(_));
    let mut found = FxHashSet::default();
    for (_, element) in model.elements() {
        let mut is_holder = false;
        let contact = match (&element.kind, &*element.points) {
            (ElementKind::Switch { throw: None, .. } | ElementKind::Disconnect { .. }, [a, b]) => [*a, *b],
            (ElementKind::Fuse { fitted: true, .. }, [a, b]) => {
                is_holder = true;
                [*a, *b]
            }
            (ElementKind::Relay { contact: RelayKind::NormallyOpen | RelayKind::NormallyClosed, .. }, [_, _, a, b]) => [*a, *b],
            _ => continue,
        };
        for (here, there) in [(contact[0], contact[1]), (contact[1], contact[0])] {
            let holds_more = |point: PointId| hanging.get(&point).is_some_and(|count| *count > 1);
            let leads_on = holds_more(there) || is_holder && holds_more(here);
            if is_stud(here) && is_stud(there) && !leads_on && ends.reaching(model, here).is_some() {
                found.insert(there);
            }
        }
    }
    found
}

pub(super) fn needs_wire(model: &Model, pin: PinId) -> bool {
    let pin = &model[pin];
    pin.spare.is_none() && pin.need.is_none_or(|need| need.value == Need::Wired)
}

/// The wires that end at nothing. A wire that is capped ends as it should; where the file places a wire end wrongly,
/// reading has reported it, and the splices of that loom are left alone.
fn dangling(model: &Model, ends: &WireEnds) -> Vec<Dangling> {
    let mut misplaced: IdVec<LoomId, bool> = IdVec::of(false, model.looms().len());
    for (_, wire) in model.wires() {
        misplaced[wire.loom] |= wire.from.is_none() || wire.to.is_none();
    }
    let mut found = Vec::new();
    for (id, splice) in model.splices() {
        if !misplaced[splice.loom] && model.is_fitted(splice.point) && ends.count(splice.point) < 2 {
            let at = ends.wires(splice.point);
            let wires = open(model, at);
            if wires.len() == at.len() {
                found.push(Dangling { why: DeadEnd::LoneSplice(id), wires });
            }
        }
    }
    // A loom that is checked without any device has nothing that its ends could mate.
    let alone = model.devices().len() == 0 && model.ends().all(|(_, end)| end.mate_span.is_none());
    for (id, end) in model.ends() {
        if !end.points.get(0).is_some_and(|point| model.is_fitted(point)) {
            continue;
        }
        let Some(partner) = ends.partner(id) else {
            let wires: Vec<WireEnd> = end.points.iter().flat_map(|point| open(model, ends.wires(point))).collect();
            if end.mate_span.is_none() && !alone && !wires.is_empty() {
                found.push(Dangling { why: DeadEnd::MatesNothing(id), wires });
            }
            continue;
        };
        cavities(model, ends, (id, partner), &mut found);
    }
    found
}

/// The wires of one mated end that meet nothing.
fn cavities(model: &Model, ends: &WireEnds, (id, partner): (EndId, Mate), found: &mut Vec<Dangling>) {
    let end = &model[id];
    let known = match partner {
        Mate::Port(port) => matches!(model[port].kind, PortKind::Connector(_)),
        // Positions of an end without a housing are only those that its own wires name.
        Mate::End(other) => {
            let other = &model[other];
            matches!(other.kind, EndKind::Connector(Some(_))) || !other.points.is_empty()
        }
    };
    if !known {
        return;
    }
    let mut nowhere = Vec::new();
    for cavity in end.points.iter() {
        if !matches!(model[cavity].kind, PointKind::Cavity(_)) {
            continue;
        }
        let wires = open(model, ends.wires(cavity));
        if wires.is_empty() {
            continue;
        }
        match ends.opposite(model, cavity) {
            None => nowhere.extend(wires),
            Some(other) => {
                if let Some(why) = dead(model, ends, other) {
                    found.push(Dangling { why, wires });
                }
            }
        }
    }
    if !nowhere.is_empty() {
        found.push(Dangling { why: DeadEnd::NoPosition(id), wires: nowhere });
    }
}

/// Why a wire that meets `other` goes no further.
fn dead(model: &Model, ends: &WireEnds, other: PointId) -> Option<DeadEnd> {
    let point = &model[other];
    match point.kind {
        PointKind::Cavity(_) => (ends.count(other) == 0).then_some(DeadEnd::EmptyCavity(other)),
        PointKind::Pin(_) => model[point.pin?].spare.map(|_| DeadEnd::SparePin(other)),
        PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
    }
}

/// The wires that are not capped.
fn open(model: &Model, wires: &[WireEnd]) -> Vec<WireEnd> {
    wires.iter().filter(|end| !model[end.wire].capped).copied().collect()
}
