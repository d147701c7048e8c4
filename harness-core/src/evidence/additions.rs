//! Remedies that add to a design: a bond from a box to the chassis, a splice for wires that share a place.
//!
//! Each buys something and leaves something open, such as a length; so these are never written without asking. An entry of a map comes
//! before one that is there; where the text has another form than that, it can't be read after the edit, and nothing is offered.

use crate::{
    facts::{Facts, bonds::BondedBox, bonds::Goal, wire_ends::WireEnd},
    finding::{Remedy, RemedyKind},
    model::{LoomId, Model, PointId, PointKind, Port, PortId, PortKind, WireId},
    quantity::SquareMillimetre,
    standards::{
        bonding::least_size,
        colour::WireColour,
        stud::most_rings,
        trade::{Trade, trade_sizes},
    },
    text::{Sources, Span},
    wording::list,
};

/// Length of the wire from a new splice to where its wires were: room for the splice and for the hands that crimp it.
const TAIL: &str = "150 mm";
/// Studs of the chassis that are tried for one bond.
const STUDS: usize = 2;

/// The place before an entry of a map, and the text that makes `entry` one before it.
pub(super) fn before(sources: &Sources, sibling: Span, entry: &str) -> Option<(Span, String)> {
    let start = sibling.start as usize;
    let line = sources.file(sibling.file)?.text().get(..start)?.rsplit('\n').next()?;
    let text = if line.trim().is_empty() { format!("{entry}\n{line}") } else { format!("{entry}, ") };
    Some((Span::new(sibling.file, sibling.start, sibling.start), text))
}

/// The first of `S1`, `S2` … that `is_free`.
pub(super) fn unused(prefix: &str, is_free: impl Fn(&str) -> bool) -> Option<String> {
    (1..1_000).map(|number| format!("{prefix}{number}")).find(|name| is_free(name))
}

/// A number that no wire has and none had.
pub(super) fn wire_number(model: &Model) -> String {
    let names = model.wires().map(|(_, wire)| wire.name).chain(model.retired.iter().map(|(name, _)| *name));
    let numbers = names.filter_map(|name| model.text(name).rsplit('.').next()?.parse::<u32>().ok());
    numbers.max().unwrap_or_default().saturating_add(1).to_string()
}

/// The wires of one place joined in a new splice, and one wire from there to the place: as thick as all together, then as the thickest.
#[must_use]
pub fn spliced(facts: &Facts, wires: &[WireEnd]) -> Vec<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let size = |end: &WireEnd| model[end.wire].size.map(|size| size.value);
    let Some(sizes) = wires.iter().map(size).collect::<Option<Vec<_>>>() else { return Vec::new() };
    let Some(thickest) = wires
        .iter()
        .max_by(|a, b| size(a).map_or(0.0, SquareMillimetre::get).total_cmp(&size(b).map_or(0.0, SquareMillimetre::get)))
    else {
        return Vec::new();
    };
    let loom = model[thickest.wire].loom;
    if wires.iter().any(|end| model[end.wire].loom != loom) {
        return Vec::new();
    }
    let Some(largest) = size(thickest) else { return Vec::new() };
    let together = SquareMillimetre::new(sizes.iter().map(|size| size.get()).sum());
    let together = trade_sizes(Trade::of(largest)).find(|size| *size >= together);
    let mut tried: Vec<SquareMillimetre> = [together, Some(largest)].into_iter().flatten().collect();
    tried.dedup();
    tried.into_iter().filter_map(|size| splice(facts, sources, (loom, wires), thickest.wire, size)).collect()
}

fn splice(
    facts: &Facts,
    sources: &Sources,
    (loom, wires): (LoomId, &[WireEnd]),
    like: WireId,
    size: SquareMillimetre,
) -> Option<Remedy> {
    let model = facts.model();
    let ends = model[loom].ends.iter().map(|end| model[*end].name);
    let taken: Vec<&str> = ends
        .chain(model.splices().filter(|(_, splice)| splice.loom == loom).map(|(_, splice)| splice.name))
        .map(|name| model.text(name))
        .collect();
    let name = unused("S", |name| !taken.contains(&name))?;
    let number = wire_number(model);
    let (first, wire) = (wires.first()?, &model[like]);
    let colour = wire.colour.map(|colour| colour.value);
    let kind = wire.kind.map_or_else(String::new, |kind| format!(", wire: {}", model.text(model[kind].name)));
    let (text, words) = coloured(colour);
    let entry =
        format!("{number}: {{ from: {name}, to: {}, size: {size}{text}, length: {TAIL}{kind} }}", sources.slice(first.span));
    let known = model.splices().find(|(_, splice)| splice.loom == loom).map(|(_, splice)| splice.span);
    let first_wire = model.wires().find(|(_, wire)| wire.loom == loom)?.1.span;
    let names: Vec<String> = wires.iter().map(|end| format!("`{}`", model.wire_name(end.wire))).collect();
    let words = format!(
        "join {} in a new splice `{}.{name}` and lead a new wire of {size}{words} from there to `{}`",
        list(&names),
        model.loom_name(loom),
        model.point_name(first.point)
    );
    let mut remedy = Remedy::new(RemedyKind::Addition, words);
    let (place, text) = match known {
        Some(known) => before(sources, known, &format!("{name}: {{}}"))?,
        None => before(sources, key_of(sources, first_wire, "wires")?, &format!("splices: {{ {name}: {{}} }}"))?,
    };
    remedy = remedy.edit(place, text);
    let (place, text) = before(sources, first_wire, &entry)?;
    remedy = remedy.edit(place, text);
    Some(wires.iter().fold(remedy, |remedy, end| remedy.edit(end.span, name.as_str())))
}

/// The key of the map in which an entry is.
fn key_of(sources: &Sources, entry: Span, key: &str) -> Option<Span> {
    let text = sources.file(entry.file)?.text().get(..entry.start as usize)?;
    let start = u32::try_from(text.rfind(&format!("{key}:"))?).ok()?;
    Some(Span::new(entry.file, start, start))
}

/// A colour as a key and in words, where it is known.
fn coloured(colour: Option<WireColour>) -> (String, String) {
    colour.map_or_else(Default::default, |colour| (format!(", colour: {colour}"), format!(", {},", colour.name())))
}

/// A bond from an earth stud or point of a box, or from a new stud where `point` is none, to a stud of the chassis that has room. Empty
/// where the live conductors of the box are not known, the earth is a pin of a plug, or nothing is chassis.
#[must_use]
pub fn bond(facts: &Facts, one: &BondedBox, point: Option<PointId>) -> Vec<Remedy> {
    let live = point.and_then(|point| one.earths.iter().find(|earth| earth.point == point)?.live).or(one.live);
    let Some((live, _)) = live.filter(|_| facts.bonds().goal == Goal::Chassis) else { return Vec::new() };
    let Some(size) = trade_sizes(Trade::of(live)).find(|size| *size >= least_size(live).value) else { return Vec::new() };
    chassis_studs(facts).into_iter().take(STUDS).filter_map(|stud| bonded(facts, one, point, (size, stud))).collect()
}

fn bonded(facts: &Facts, one: &BondedBox, point: Option<PointId>, (size, stud): (SquareMillimetre, PortId)) -> Option<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let (device, name) = (&model[one.device], model.device_name(one.device));
    let goal = model.port_name(stud);
    let mut edits = Vec::new();
    let (end, words) = match point {
        Some(point) => {
            let PointKind::Stud(port) = model[point].kind else { return None };
            (
                end_at(model, port)?,
                format!(
                    "add a bond of {size}, green-yellow and as short as possible, from `{}` to `{goal}`",
                    model.port_name(port)
                ),
            )
        }
        None => {
            let ports: Vec<&Port> = device.ports.iter().map(|port| &model[port]).collect();
            let first = ports.first()?.span;
            // The ports of a device kind are those of all its devices.
            if model.ports().filter(|(_, port)| port.span == first).count() > 1 {
                return None;
            }
            let taken = |wanted: &str| ports.iter().any(|port| model.text(port.name) == wanted);
            let port = ["E", "PE", "EARTH"].into_iter().find(|port| !taken(port))?;
            edits.push(before(sources, first, &format!("{port}: {{ stud: M6, role: earth }}"))?);
            let words = format!(
                "add a stud `{name}.{port}` with `role: earth`, and a bond of {size}, green-yellow and as short as possible, from it to `{goal}`"
            );
            (format!("{{ ring: M6, bolts-to: {name}.{port} }}"), words)
        }
    };
    let loom = unused(&format!("bond-{name}-"), |loom| model.looms().all(|(_, known)| model.text(known.name) != loom))?;
    let zone = device.zone.map_or_else(String::new, |zone| format!("zone: {}, ", model.text(model[zone].name)));
    let like =
        model.wires().find(|(_, wire)| wire.colour.is_some_and(|colour| colour.value.is_green_yellow()) && wire.kind.is_some());
    let kind =
        like.and_then(|(_, wire)| wire.kind).map_or_else(String::new, |kind| format!("wire: {}, ", model.text(model[kind].name)));
    let entry = format!(
        "{loom}: {{ {zone}{kind}ends: {{ a: {end}, b: {} }}, wires: {{ 1: {{ from: a, to: b, size: {size}, colour: GNYE }} }} }}",
        end_at(model, stud)?
    );
    edits.push(before(sources, model.looms().next()?.1.span, &entry)?);
    let remedy = Remedy::new(RemedyKind::Addition, words);
    Some(edits.into_iter().fold(remedy, |remedy, (place, text)| remedy.edit(place, text)))
}

/// An end that goes to a stud or a point for bare wires.
pub(super) fn end_at(model: &Model, port: PortId) -> Option<String> {
    let name = model.port_name(port);
    match model[port].kind {
        PortKind::Stud(thread) => Some(format!("{{ ring: {}, bolts-to: {name} }}", model.text(thread.name))),
        PortKind::Landing(_) => Some(format!("{{ lands-on: {name} }}")),
        PortKind::Connector(_) | PortKind::Body => None,
    }
}

/// What a help adds where no stud of the chassis takes the ring of another bond; empty where one does.
#[must_use]
pub fn no_room(facts: &Facts) -> &'static str {
    let is_full = facts.bonds().goal == Goal::Chassis && chassis_studs(facts).is_empty();
    if is_full { "; the studs of the chassis hold all the rings that they take, so it needs one of its own" } else { "" }
}

/// The studs of the chassis that take another ring, those with the fewest first.
fn chassis_studs(facts: &Facts) -> Vec<PortId> {
    let (model, claims) = (facts.model(), facts.claims());
    let most = |port: &Port| port.rings.or(model.policy.rings_per_stud).map_or(most_rings().value, |most| most.value as usize);
    let studs = model.ports().filter(|(id, port)| {
        model[port.device].chassis && matches!(port.kind, PortKind::Stud(_)) && claims.rings(*id).len() < most(port)
    });
    let mut studs: Vec<PortId> = studs.map(|(id, _)| id).collect();
    studs.sort_by_key(|id| claims.rings(*id).len());
    studs
}
