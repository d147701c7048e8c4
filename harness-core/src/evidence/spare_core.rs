//! The protective earth that a cable already has: a core that no wire uses, between two boxes that the cable joins.
//!
//! Candidates for a box without its earth, before any wire of its own: the core runs where the live ones run, and is part of what was bought.

use super::additions::{before, end_at, unused, wire_number};
use crate::{
    facts::{Facts, bonds::BondedBox},
    finding::{Remedy, RemedyKind},
    model::{CableId, Core, DeviceId, EndKind, LoomId, Model, PointId, PointKind, WireId},
    text::Span,
    vocabulary::Role,
};

/// Far ends that are tried for one core.
const MOST: usize = 3;
/// What the protective earth is called on cables.
const LABELS: [&str; 6] = ["PE", "E", "EARTH", "GND", "G", "GNYE"];

/// A free core from `point`, an earth of a box, to an earth of each box to which a cable of this one goes. Empty where no cable has one.
#[must_use]
pub fn earth(facts: &Facts, one: &BondedBox, point: PointId) -> Vec<Remedy> {
    let model = facts.model();
    let mut found = Vec::new();
    for (cable, item) in model.cables() {
        let Some(kind) = item.kind else { continue };
        let wires: Vec<WireId> =
            model.wires().filter(|(_, wire)| wire.core.is_some_and(|core| core.0 == cable)).map(|(id, _)| id).collect();
        let Some(other) = far_device(facts, &wires, one.device) else { continue };
        let used: Vec<u32> = wires.iter().filter_map(|wire| Some(model[*wire].core?.1)).collect();
        let free = model[kind].cores.iter().zip(0..).filter(|(_, at)| !used.contains(at)).map(|(core, _)| core);
        let Some(core) = free.filter(|core| is_earth(model, core)).max_by_key(|core| is_green_yellow(core)) else { continue };
        let far = facts.pins().of_device(other).iter().filter(|pin| pin.role == Some(Role::Earth)).map(|pin| pin.point);
        let mut far: Vec<PointId> = far.collect();
        // One to which nothing leads yet is the one whose wire is missing.
        far.sort_by_key(|point| facts.wire_ends().reaching(model, *point).is_some());
        found.extend(far.into_iter().filter_map(|far| led(facts, (cable, core), &wires, [point, far])));
    }
    found.truncate(MOST);
    found
}

fn is_green_yellow(core: &Core) -> bool {
    core.colour.is_some_and(|colour| colour.value.is_green_yellow())
}

/// Green-yellow, or called as earths are where it has no colour.
fn is_earth(model: &Model, core: &Core) -> bool {
    let is_called = || LABELS.iter().any(|label| model.text(core.label).eq_ignore_ascii_case(label));
    is_green_yellow(core) || core.colour.is_none() && is_called()
}

/// The one other device that the wires of a cable join to `device`; `None` where it is not one.
fn far_device(facts: &Facts, wires: &[WireId], device: DeviceId) -> Option<DeviceId> {
    let model = facts.model();
    let at = |point: Option<PointId>| model.device_at(met(facts, point?)?);
    let mut others = wires.iter().filter_map(|wire| {
        let (from, to) = (at(model[*wire].from)?, at(model[*wire].to)?);
        match (from == device, to == device) {
            (true, false) => Some(to),
            (false, true) => Some(from),
            _ => None,
        }
    });
    let first = others.next()?;
    others.all(|other| other == first).then_some(first)
}

/// The pin or stud that a point of a loom meets.
fn met(facts: &Facts, point: PointId) -> Option<PointId> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    ends.opposite(model, point).or_else(|| {
        let PointKind::Ring(end) = model[point].kind else { return None };
        match ends.partner(end)? {
            crate::model::Mate::Port(port) => model[port].points.get(0),
            crate::model::Mate::End(_) => None,
        }
    })
}

/// The core as a wire between two earths, with an end at each that has none.
fn led(facts: &Facts, (cable, core): (CableId, &Core), wires: &[WireId], points: [PointId; 2]) -> Option<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let first = &model[*wires.first()?];
    let mut new = Vec::new();
    let mut names = Vec::new();
    for (at, prefix) in points.iter().zip(["e", "pe"]) {
        let (name, entry) = end_for(facts, first.loom, *at, prefix)?;
        new.extend(entry.map(|entry| format!("{name}: {entry}")));
        names.push(name);
    }
    let (from, to) = (names.first()?, names.get(1)?);
    let words = format!(
        "use the free core `{}.{}` of the cable that goes there already, from `{}` to `{}`",
        model.cable_name(cable),
        model.text(core.label),
        model.point_name(*points.get(1)?),
        model.point_name(*points.first()?)
    );
    let mut remedy = Remedy::new(RemedyKind::Addition, words);
    let end: Span = model[*model[first.loom].ends.first()?].span;
    for entry in new.iter().take(1) {
        let all = match new.as_slice() {
            [one, other] => separated(sources, end, one, other)?,
            _ => entry.clone(),
        };
        let (place, text) = before(sources, end, &all)?;
        remedy = remedy.edit(place, text);
    }
    let label = format!("{}.{}", model.text(model[cable].name), model.text(core.label));
    let entry = format!("{}: {{ from: {from}, to: {to}, core: {label} }}", wire_number(model));
    let (place, text) = before(sources, first.span, &entry)?;
    Some(remedy.edit(place, text))
}

/// Two entries, one below the other where the map is in lines.
fn separated(sources: &crate::text::Sources, sibling: Span, one: &str, other: &str) -> Option<String> {
    let line = sources.file(sibling.file)?.text().get(..sibling.start as usize)?.rsplit('\n').next()?;
    Some(if line.trim().is_empty() { format!("{one}\n{line}{other}") } else { format!("{one}, {other}") })
}

/// How a wire of a loom is written to end at a point, with the entry of a new end where it needs one.
fn end_for(facts: &Facts, loom: LoomId, at: PointId, prefix: &str) -> Option<(String, Option<String>)> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    match model[at].kind {
        PointKind::Pin(port) => {
            let end =
                ends.at_port(port).find(|end| model[*end].loom == loom && matches!(model[*end].kind, EndKind::Connector(_)))?;
            let cavity = ends.cavity_at(model, at).filter(|cavity| ends.count(*cavity) == 0)?;
            Some((format!("{}.{}", model.text(model[end].name), model.text(model[cavity].label)), None))
        }
        PointKind::Stud(port) => {
            let taken = |name: &str| model[loom].ends.iter().any(|end| model.text(model[*end].name) == name);
            let name = unused(&format!("{prefix}-"), |name| !taken(name))?;
            Some((name, Some(end_at(model, port)?)))
        }
        PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => None,
    }
}
