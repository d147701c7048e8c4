//! Facts without which a conductor's capacity, or the run to its fuse, is not known.

use super::MissingFact;
use crate::{
    electrical::conductors::conductor::{capacity_of, surroundings},
    facts::{Facts, undrawn::Unknown},
    model::{ConductorId, LoomId, Model, Wire, WireId},
    quantity::{Ampere, Celsius},
    standards::capacity::Beside,
    wording::{count, list_of_first, quoted},
};

/// A thing that lacks a fact for several wires at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Lacks {
    Rating(ConductorId),
    AnyKind(LoomId),
    Ambient(LoomId),
    Current(LoomId),
    Size(LoomId),
}

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = Vec::new();
    let mut shared: Vec<(Lacks, WireId)> = Vec::new();
    let undrawn = facts.undrawn();
    for (id, wire) in model.wires() {
        let loading = facts.electrical().loading(id);
        if loading.amps <= Ampere::ZERO {
            // The summary counts the supplies of which no current is known; a phase never has a computed one.
            if undrawn.of(id) == Some(Unknown::Phase) {
                shared.push((Lacks::Current(wire.loom), id));
            }
            if wire.size.is_none() && wire.core.is_none() && facts.electrical().is_wired(id) {
                shared.push((Lacks::Size(wire.loom), id));
            }
            continue;
        }
        findings.extend(own(model, id, wire));
        let around = surroundings(model, wire);
        if around.ambient.is_none() {
            shared.push((Lacks::Ambient(wire.loom), id));
        }
        if around.rated.is_none() {
            match (wire.kind, wire.core) {
                (Some(kind), _) => shared.push((Lacks::Rating(kind), id)),
                (None, None) => shared.push((Lacks::AnyKind(wire.loom), id)),
                (None, Some(_)) => findings.push(no_core_rating(model, id, wire)),
            }
        }
        if wire.size.is_some() && around.thermal().is_some() && capacity_of(model, wire, Beside::default()).is_none() {
            findings.push(MissingFact::new(
                wire.size.map_or(wire.span, |size| size.span),
                format!("capacity and temperature of `{}` were not checked: the table ends below its size", model.wire_name(id)),
                "beyond the table",
                "take the capacity from the datasheet of the cable".to_owned(),
                model.wire_name(id),
            ));
        }
    }
    shared.sort_unstable();
    for group in shared.chunk_by(|a, b| a.0 == b.0) {
        let wires: Vec<WireId> = group.iter().map(|(_, wire)| *wire).collect();
        findings.extend(group.first().map(|(lacks, _)| shared_note(model, *lacks, &wires)));
    }
    findings
}

fn own(model: &Model, id: WireId, wire: &Wire) -> Vec<MissingFact> {
    let name = model.wire_name(id);
    let mut findings = Vec::new();
    if wire.size.is_none() {
        findings.push(MissingFact::new(
            wire.span,
            format!("wire `{name}` carries current and has no size: its capacity, fuse, terminals, temperature and voltage drop were not checked"),
            "no `size`",
            format!("add `size` to `{name}`"),
            name.clone(),
        ));
    }
    if wire.length.is_none() {
        findings.push(MissingFact::new(
            wire.span,
            format!("wire `{name}` carries current and has no length: its voltage drop was not counted, and its resistance is that of 1 m"),
            "no `length`",
            format!("add `length` to `{name}`"),
            name,
        ));
    }
    findings
}

fn no_core_rating(model: &Model, id: WireId, wire: &Wire) -> MissingFact {
    let name = model.wire_name(id);
    MissingFact::new(
        wire.span,
        format!("capacity and temperature of `{name}` were not checked: its cable has no rated temperature"),
        "core of a cable without `rated`",
        "add `rated` to the cable's kind".to_owned(),
        name,
    )
}

fn shared_note(model: &Model, lacks: Lacks, wires: &[WireId]) -> MissingFact {
    let count = count(wires.len(), "wire");
    let example = Celsius::new(105.0);
    match lacks {
        Lacks::Rating(kind) => {
            let item = &model[kind];
            let name = model.text(item.name);
            MissingFact::new(
                item.span,
                format!("capacity and temperature of {count} were not checked: the kind `{name}` has no rated temperature"),
                "no `rated`",
                format!("add `rated` to `{name}`, such as `rated: {example}`"),
                name.to_owned(),
            )
        }
        Lacks::AnyKind(loom) => {
            let item = &model[loom];
            let name = model.text(item.name);
            MissingFact::new(
                item.span,
                format!("capacity and temperature of {count} were not checked: loom `{name}` names no conductor kind for them"),
                "no `wire`",
                format!("add `wire` to `{name}` and the kind to `parts: conductors`, or `rated` to the policy"),
                name.to_owned(),
            )
        }
        Lacks::Current(loom) => {
            let item = &model[loom];
            let name = model.text(item.name);
            let names: Vec<String> = wires.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
            MissingFact::new(
                wires.first().map_or(item.span, |wire| model[*wire].span),
                format!(
                    "load and temperature of {} were not checked: the current between phases is not computed",
                    list_of_first(&names, 3, 0)
                ),
                "no `current`",
                "add `current` to the wire or its cable: what the motor or converter takes from each phase continuously"
                    .to_owned(),
                name.to_owned(),
            )
        }
        Lacks::Size(loom) => {
            let item = &model[loom];
            let names: Vec<String> = wires.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
            let are = if wires.len() == 1 { "carries no computed current and has" } else { "carry no computed current and have" };
            MissingFact::new(
                wires.first().map_or(item.span, |wire| model[*wire].span),
                format!(
                    "strength, terminals and fuse of {} were not checked: {count} {are} no size",
                    list_of_first(&names, 3, 0)
                ),
                "no `size`",
                "add `size` to each".to_owned(),
                model.text(item.name).to_owned(),
            )
        }
        Lacks::Ambient(loom) => {
            let item = &model[loom];
            let name = model.text(item.name);
            MissingFact::new(
                item.span,
                format!(
                    "capacity and temperature of {count} were not checked: the air temperature around loom `{name}` is not known"
                ),
                "no `zone` with an `ambient`",
                format!("add `zone` to `{name}` and `ambient` to the zone, or `ambient` to the policy"),
                name.to_owned(),
            )
        }
    }
}
