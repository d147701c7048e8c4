//! Where a conductor is missing: pins that need a wire and have none, and wires that end at nothing.

use super::ends::{Ends, WireEnd, is_fitted};
use crate::{
    analysis::Analysis,
    model::{EndId, Mate, Model, PinId, PointId, PointKind, PortKind, SpliceId},
    vocabulary::Need,
};

/// Why a wire end is at nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
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
pub(super) struct Dangling {
    /// Why.
    pub(super) why: Why,
    /// The wires; empty for a splice without any.
    pub(super) wires: Vec<WireEnd>,
}

/// The pins and studs that need a wire and have none, in order.
pub(super) fn unconnected(analysis: &Analysis, ends: &Ends<'_>) -> Vec<PointId> {
    let model = analysis.model();
    let pins = model.points().filter(|(_, point)| matches!(point.kind, PointKind::Pin(_) | PointKind::Stud(_)));
    pins.filter(|(id, point)| {
        point.pin.is_some_and(|pin| needs_wire(model, pin)) && is_fitted(model, *id) && ends.reaching(*id).is_none()
    })
    .map(|(id, _)| id)
    .collect()
}

fn needs_wire(model: &Model, pin: PinId) -> bool {
    model.pin(pin).is_some_and(|pin| pin.spare.is_none() && pin.need.is_none_or(|need| need.value == Need::Wired))
}

/// The wires that end at nothing. A wire that is capped ends as it should; where the file places a wire end wrongly,
/// reading has reported it, and the splices of that loom are left alone.
pub(super) fn dangling(model: &Model, ends: &Ends<'_>) -> Vec<Dangling> {
    let mut misplaced = vec![false; model.looms().len()];
    for (_, wire) in model.wires() {
        if let (true, Some(slot)) = (wire.from.is_none() || wire.to.is_none(), misplaced.get_mut(wire.loom.index())) {
            *slot = true;
        }
    }
    let mut found = Vec::new();
    for (id, splice) in model.splices() {
        let known = misplaced.get(splice.loom.index()) == Some(&false);
        if known && is_fitted(model, splice.point) && ends.count(splice.point) < 2 {
            let at = ends.wires(splice.point);
            let wires = open(model, at);
            if wires.len() == at.len() {
                found.push(Dangling { why: Why::LoneSplice(id), wires });
            }
        }
    }
    // A loom that is checked without any device has nothing that its ends could mate.
    let alone = model.devices().len() == 0 && model.ends().all(|(_, end)| end.mate_span.is_none());
    for (id, end) in model.ends() {
        if !end.points.get(0).is_some_and(|point| is_fitted(model, point)) {
            continue;
        }
        let Some(partner) = ends.partner(id) else {
            let wires: Vec<WireEnd> = end.points.iter().flat_map(|point| open(model, ends.wires(point))).collect();
            if end.mate_span.is_none() && !alone && !wires.is_empty() {
                found.push(Dangling { why: Why::MatesNothing(id), wires });
            }
            continue;
        };
        cavities(model, ends, (id, partner), &mut found);
    }
    found
}

/// The wires of one mated end that meet nothing.
fn cavities(model: &Model, ends: &Ends<'_>, (id, partner): (EndId, Mate), found: &mut Vec<Dangling>) {
    let stud = |port| model.port(port).is_none_or(|port| matches!(port.kind, PortKind::Stud(_)));
    let Some(end) = model.end(id) else { return };
    let known = match partner {
        Mate::Port(port) => !stud(port),
        // Positions of an end without a housing are only those that its own wires name.
        Mate::End(other) => model
            .end(other)
            .is_some_and(|other| matches!(other.kind, crate::model::EndKind::Connector(Some(_))) || !other.points.is_empty()),
    };
    if !known {
        return;
    }
    let mut nowhere = Vec::new();
    for cavity in end.points.iter() {
        if !matches!(model.point(cavity).map(|point| point.kind), Some(PointKind::Cavity(_))) {
            continue;
        }
        let wires = open(model, ends.wires(cavity));
        if wires.is_empty() {
            continue;
        }
        match ends.opposite(cavity) {
            None => nowhere.extend(wires),
            Some(other) => {
                if let Some(why) = dead(model, ends, other) {
                    found.push(Dangling { why, wires });
                }
            }
        }
    }
    if !nowhere.is_empty() {
        found.push(Dangling { why: Why::NoPosition(id), wires: nowhere });
    }
}

/// Why a wire that meets `other` goes no further.
fn dead(model: &Model, ends: &Ends<'_>, other: PointId) -> Option<Why> {
    let point = model.point(other)?;
    match point.kind {
        PointKind::Cavity(_) if ends.count(other) == 0 => Some(Why::EmptyCavity(other)),
        PointKind::Pin(_) => model.pin(point.pin?)?.spare.map(|_| Why::SparePin(other)),
        _ => None,
    }
}

/// The wires that are not capped.
fn open(model: &Model, wires: &[WireEnd]) -> Vec<WireEnd> {
    wires.iter().filter(|end| model.wire(end.wire).is_some_and(|wire| !wire.capped)).copied().collect()
}
