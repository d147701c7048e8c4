//! Pins that feed or take back power and behind which nothing is drawn, nodes that lead nowhere, and devices that are left out of a build.

use super::MissingFact;
use crate::{
    arena::IdVec,
    facts::{Facts, pins::points_of_elements},
    model::{DeviceId, ElementKind, Model, PointId, PointKind},
    network::{Components, GroupId},
    text::Span,
    vocabulary::Role,
    wording::{agree, count, list_of_first, quoted},
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::BTreeMap;

/// Names that a note's headline holds.
const NAMED: usize = 3;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let mut found = Vec::new();
    // Where nothing can flow, one note says so for all.
    if facts.model().elements().any(|(_, element)| element.kind.is_source()) {
        found.extend(undrawn(facts));
        found.extend(dead_nodes(facts));
    }
    found.extend(left_out(facts));
    found
}

/// Devices whose power pins lead to nothing drawn: those of which nothing is drawn at all in one note, the others one note for each
/// kind of device.
fn undrawn(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let drawn = points_of_elements(model);
    let with_inside: FxHashSet<DeviceId> = model.elements().filter_map(|(_, element)| element.owner.device()).collect();
    let poles = Poles::new(facts);
    let mut empty: Vec<(DeviceId, PointId)> = Vec::new();
    // What a kind of device says is written once, so its pins have one place.
    let mut partly: BTreeMap<Span, Vec<(DeviceId, PointId)>> = BTreeMap::new();
    for (device, item) in model.devices().filter(|(_, item)| item.fitted && !item.chassis) {
        let bare: Vec<PointId> = model
            .points_of(item)
            .filter(|point| takes_power(facts, (&drawn, &poles), *point, with_inside.contains(&device)))
            .collect();
        let Some(pin) = bare.first().copied() else { continue };
        if with_inside.contains(&device) {
            partly.entry(model[pin].span).or_default().extend(bare.iter().map(|pin| (device, *pin)));
        } else {
            empty.push((device, pin));
        }
    }
    let mut found: Vec<MissingFact> = partly.values().filter_map(|pins| partly_drawn(model, pins)).collect();
    found.extend(nothing_drawn(model, &empty));
    found
}

/// Whether all pins of a device are those of something that gives power: outputs, returns and earths. A controller has inputs too.
fn gives_power(facts: &Facts, point: PointId) -> bool {
    let model = facts.model();
    let Some(device) = model.device_at(point) else { return false };
    let mut pins = facts.pins().of_device(device).iter();
    let is_power = |role: Role| role == Role::Output || role.takes_back();
    facts.pins().of_device(device).iter().any(|pin| pin.role == Some(Role::Return))
        && pins.all(|pin| pin.role.is_some_and(is_power))
}

/// What conductors, open or closed, join to the positive pole of a source.
struct Poles {
    lumps: Components,
    positive: IdVec<GroupId, bool>,
}

impl Poles {
    fn new(facts: &Facts) -> Self {
        let lumps = facts.network().components(|_, edge| edge.role.conducts_when_closed());
        let mut positive = lumps.table(false);
        for (_, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives()) {
            positive[lumps.of(edge.b)] = true;
        }
        Self { lumps, positive }
    }

    fn has(&self, point: PointId) -> bool {
        self.positive[self.lumps.of(point)]
    }
}

/// Whether a pin has a wire, gives or takes power by its role, and has nothing drawn behind it.
fn takes_power(facts: &Facts, (drawn, poles): (&IdVec<PointId, bool>, &Poles), point: PointId, is_partly_drawn: bool) -> bool {
    let model = facts.model();
    // An inlet takes nothing: what comes through it is asked for with the inlets.
    let of_inlet = || facts.inlets().iter().any(|inlet| inlet.contacts.iter().any(|(_, contact)| *contact == point));
    if drawn[point] || of_inlet() || facts.wire_ends().reaching(model, point).is_none() || facts.goes_on(point) {
        return false;
    }
    match model.role_at(point) {
        Some(Role::Supply | Role::Line) => true,
        Some(Role::Return | Role::Neutral | Role::Reference | Role::SensorReturn) => is_partly_drawn,
        // An output that leads to a supply pin, or to the positive pole of a source, is the output of a source.
        Some(Role::Output) => {
            let run = facts.pins().of_run(facts.pins().run(point));
            run.iter().any(|pin| pin.role == Some(Role::Supply))
                || !is_partly_drawn && gives_power(facts, point) && poles.has(point)
        }
        Some(_) | None => false,
    }
}

/// One note for the devices of one kind.
fn partly_drawn(model: &Model, pins: &[(DeviceId, PointId)]) -> Option<MissingFact> {
    let (device, pin) = *pins.first()?;
    let mut devices: Vec<DeviceId> = pins.iter().map(|(device, _)| *device).collect();
    devices.dedup();
    let of_first: Vec<String> =
        pins.iter().filter(|(of, _)| *of == device).map(|(_, pin)| quoted(model.point_name(*pin))).collect();
    let names = list_of_first(&of_first, NAMED, 0);
    let name = model.device_name(device);
    let more = match devices.len() - 1 {
        0 => String::new(),
        more => format!(", and so in {}", count(more, "more device")),
    };
    let mut note = MissingFact::new(
        model[pin].span,
        format!(
            "what flows through {names} was not counted: nothing inside `{name}` is drawn behind {}{more}",
            it_or_them(&of_first)
        ),
        "carries an unknown current",
        format!("add the load, source or link of {names} under `inside` of `{name}`"),
        name.to_owned(),
    );
    note.others = devices.iter().skip(1).map(|device| (model[*device].span, model.device_name(*device).to_owned())).collect();
    Some(note)
}

fn it_or_them(names: &[String]) -> &'static str {
    if names.len() == 1 { "it" } else { "them" }
}

/// One note for all devices of which nothing is drawn.
fn nothing_drawn(model: &Model, empty: &[(DeviceId, PointId)]) -> Option<MissingFact> {
    let (device, _) = *empty.first()?;
    let names: Vec<String> = empty.iter().map(|(device, _)| quoted(model.device_name(*device))).collect();
    let mut note = MissingFact::new(
        model[device].span,
        format!(
            "what {} {} was not counted: nothing is drawn inside {}",
            list_of_first(&names, NAMED, 0),
            agree(names.len(), "takes", "take"),
            it_or_them(&names)
        ),
        "takes an unknown current",
        "add `load` elements under `inside`: what each device takes, in amperes or watts".to_owned(),
        model.device_name(device).to_owned(),
    );
    note.others = empty.iter().skip(1).map(|(device, _)| (model[*device].span, model.device_name(*device).to_owned())).collect();
    Some(note)
}

/// Nodes at which only one thing ends, so that nothing flows through it: one note a device or kind of device.
fn dead_nodes(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut ends: FxHashMap<PointId, usize> = FxHashMap::default();
    let mut last: FxHashMap<PointId, String> = FxHashMap::default();
    // The way of a change-over contact or selector that is not used may end at a node.
    let mut unused: FxHashSet<PointId> = FxHashSet::default();
    for (id, element) in model.elements() {
        let may_end = match &element.kind {
            ElementKind::Relay { .. } => element.points.len() > 4,
            ElementKind::Switch { throw, .. } => throw.is_some(),
            ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => false,
            ElementKind::Fuse { .. } | ElementKind::Disconnect { .. } | ElementKind::Link { .. } => false,
            ElementKind::Interlock { .. } => false,
            // What gives nothing has a note of its own.
            ElementKind::Source { .. } | ElementKind::Converter { .. } => true,
        };
        for point in element.points.iter().filter(|point| matches!(model[**point].kind, PointKind::Node(_))) {
            *ends.entry(*point).or_default() += 1;
            last.insert(*point, model.element_name(id));
            if may_end {
                unused.insert(*point);
            }
        }
    }
    let mut dead: Vec<PointId> =
        ends.into_iter().filter(|(point, count)| *count == 1 && !unused.contains(point)).map(|(point, _)| point).collect();
    dead.retain(|point| model.is_fitted(*point));
    dead.sort_unstable();
    // An element with both its ends at such nodes is one fault.
    let mut seen: FxHashSet<String> = FxHashSet::default();
    dead.retain(|point| last.get(point).is_some_and(|element| seen.insert(element.clone())));
    let mut by_place: BTreeMap<Span, Vec<PointId>> = BTreeMap::new();
    for point in dead {
        by_place.entry(model[point].span).or_default().push(point);
    }
    let note = |points: &Vec<PointId>| {
        let node = *points.first()?;
        let (name, element) = (model.point_name(node), last.get(&node)?);
        let mut note = MissingFact::new(
            model[node].span,
            format!("what flows through `{element}` was not counted: it ends at the node `{name}`, and nothing else does"),
            "leads nowhere",
            format!("join what follows to `{name}`, or take the node out"),
            element.clone(),
        );
        note.others = points.iter().skip(1).filter_map(|node| Some((model[*node].span, last.get(node)?.clone()))).collect();
        Some(note)
    };
    by_place.values().filter_map(note).collect()
}

/// Devices that are left out of the build and whose plugs are still in the loom.
fn left_out(facts: &Facts) -> Vec<MissingFact> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let notes = model.devices().filter(|(_, device)| !device.fitted).filter_map(|(id, device)| {
        let ports = model.ports().filter(|(_, port)| port.device == id).flat_map(|(port, _)| ends.at_port(port));
        let open: Vec<_> = ports
            .filter(|end| model[*end].points.iter().any(|point| model.is_fitted(point) && ends.count(point) > 0))
            .map(|end| (model[end].span, model.end_name(end)))
            .collect();
        let names: Vec<String> = open.iter().map(|(_, name)| quoted(name)).collect();
        (!open.is_empty()).then(|| {
            let name = model.device_name(id);
            MissingFact::new(
                device.span,
                format!(
                    "whether {} {} covered and safe was not checked: `{name}` is not fitted",
                    list_of_first(&names, NAMED, 0),
                    agree(names.len(), "is", "are")
                ),
                "not fitted, and the loom still leads here",
                format!("cap and stow what leads to `{name}`, or leave its wires out of the build too"),
                name.to_owned(),
            )
        })
    });
    notes.collect()
}
