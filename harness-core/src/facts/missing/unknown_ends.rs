//! Pins and studs at which a conductor from a source ends, of which nothing is given and behind which nothing is drawn.

use super::MissingFact;
use crate::{
    facts::{Facts, pins::points_of_elements},
    model::{DeviceId, Model, PointId, PointKind},
    network::Components,
    text::Span,
    wording::{list_of_first, quoted},
};
use rustc_hash::FxHashSet;
use std::collections::BTreeMap;

/// Names that a note's headline holds.
const NAMED: usize = 3;

/// One note for each device, or for all of one kind.
pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let drawn = points_of_elements(model);
    let lumps = facts.network().components(|_, edge| edge.role.conducts_when_closed());
    let fed = poles(facts, &lumps);
    // Where no fuse is between, it has a note of its own.
    let unfused: FxHashSet<PointId> = facts
        .electrical()
        .protection()
        .unfused()
        .iter()
        .flat_map(|unfused| unfused.to_unknown.iter().map(|run| run.load))
        .collect();
    let is_unknown = |point: PointId| {
        is_bare(model, point)
            && !drawn[point]
            && !unfused.contains(&point)
            && fed.contains(&lumps.of(point))
            && facts.wire_ends().reaching(model, point).is_some()
            && !facts.goes_on(point)
    };
    // What a kind of device says is written once, so its pins have one place.
    let mut by_place: BTreeMap<Span, Vec<(DeviceId, PointId)>> = BTreeMap::new();
    for (device, item) in model.devices().filter(|(_, item)| item.fitted && !item.chassis) {
        let points: Vec<PointId> = model.points_of(item).filter(|point| is_unknown(*point)).collect();
        let Some(first) = points.first() else { continue };
        by_place.entry(model[*first].span).or_default().extend(points.iter().map(|point| (device, *point)));
    }
    by_place.values().filter_map(|points| note(model, points)).collect()
}

/// Lumps that hold a pole of a source.
fn poles(facts: &Facts, lumps: &Components) -> FxHashSet<crate::network::GroupId> {
    let sources = facts.network().edges().filter(|(_, edge)| edge.role.drives());
    sources.flat_map(|(_, edge)| [lumps.of(edge.a), lumps.of(edge.b)]).collect()
}

/// Whether a point is a pin or stud of which neither a role nor a signal is given.
fn is_bare(model: &Model, point: PointId) -> bool {
    let item = &model[point];
    matches!(item.kind, PointKind::Pin(_) | PointKind::Stud(_))
        && item.pin.is_none_or(|pin| {
            let pin = &model[pin];
            pin.role.is_none() && pin.signal.is_none() && pin.tap.is_none() && pin.spare.is_none()
        })
}

fn note(model: &Model, points: &[(DeviceId, PointId)]) -> Option<MissingFact> {
    let (device, point) = *points.first()?;
    let mut devices: Vec<DeviceId> = points.iter().map(|(device, _)| *device).collect();
    devices.dedup();
    let of_first: Vec<String> =
        points.iter().filter(|(of, _)| *of == device).map(|(_, point)| quoted(model.point_name(*point))).collect();
    let (names, name) = (list_of_first(&of_first, NAMED, 0), model.device_name(device));
    let them = if of_first.len() == 1 { "it" } else { "them" };
    let mut note = MissingFact::new(
        model[point].span,
        format!("what flows through {names} was not counted: a wire from a source ends there, and nothing is given of {them}"),
        "has no role and no signal, and nothing is drawn behind it",
        format!("add `role` to {names}, and the load, contact or link behind {them} under `inside` of `{name}`"),
        name.to_owned(),
    );
    note.others = devices.iter().skip(1).map(|device| (model[*device].span, model.device_name(*device).to_owned())).collect();
    Some(note)
}
