//! Facts without which it is not known whether a bond is thick enough, or whether there is one.

use super::MissingFact;
use crate::{
    facts::{
        Facts,
        bonds::{Goal, Needs},
        borrowed_neutrals::User,
        residual::unknown_protection,
    },
    model::{DeviceId, Owner, WireId},
    text::Span,
    wording::{agree, count_of, list_of_first, quoted},
};

/// Protective earths of the mains that only the case of their box joins to its bond; one note for all.
fn by_case_alone(facts: &Facts) -> Option<MissingFact> {
    let (model, bonds) = (facts.model(), facts.bonds());
    // Where a fuse or contact is in an earth of the box, that is reported.
    let is_opened =
        |device: DeviceId| facts.opened_earths().iter().any(|opened| model[opened.element].owner == Owner::Device(device));
    let boxes = bonds
        .boxes
        .iter()
        .filter(|one| one.needs == Needs::Case && one.mains.is_some() && one.is_bonded() && !is_opened(one.device));
    let points: Vec<_> = boxes
        .flat_map(|one| {
            one.earths.iter().filter(|earth| earth.is_earth && earth.is_wired && earth.way.is_none() && !earth.is_at_shield)
        })
        .map(|earth| earth.point)
        .collect();
    let first = *points.first()?;
    let names: Vec<String> = points.iter().map(|point| quoted(model.point_name(*point))).collect();
    let mut note = MissingFact::new(
        model[first].span,
        format!(
            "whether {} {} joined to the case was not checked: nothing is drawn between, and its bond is at another point",
            list_of_first(&names, MOST, 0),
            agree(names.len(), "is", "are")
        ),
        "assumed joined to the case",
        "draw the `link` between it and the point of the box that is bonded, if the box has it".to_owned(),
        model.point_name(first),
    );
    note.others = points.iter().skip(1).map(|point| (model[*point].span, model.point_name(*point))).collect();
    Some(note)
}

/// Sockets and loads in a design that states no residual-current device; one note for all.
fn without_residual(facts: &Facts) -> Option<MissingFact> {
    let model = facts.model();
    let users = unknown_protection(facts);
    let named = |user: &User| match user.load {
        Some(load) => (model[load].value_span, model.element_name(load)),
        None => (model[user.line].span, model.point_name(user.line)),
    };
    let mut each: Vec<(Span, String)> = users.iter().map(named).collect();
    each.dedup_by(|a, b| a.1 == b.1);
    let (place, first) = each.first().cloned()?;
    let names: Vec<String> = each.iter().map(|(_, name)| quoted(name)).collect();
    let mut note = MissingFact::new(
        place,
        format!(
            "whether {} {} behind a residual-current device was not checked: the design states none",
            list_of_first(&names, MOST, 0),
            agree(names.len(), "is", "are")
        ),
        "no residual-current device stated",
        "name the poles of the device before it as `residual: [line, neutral]` at its box; fit one where there is none"
            .to_owned(),
        first,
    );
    note.others = each.into_iter().skip(1).collect();
    Some(note)
}

/// Most names in one sentence.
const MOST: usize = 5;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let (model, bonds) = (facts.model(), facts.bonds());
    let mut found = Vec::new();
    if bonds.goal == Goal::Nothing {
        // What needs no bond is not missing one.
        let open: Vec<_> = bonds.boxes.iter().filter(|one| one.needs != Needs::Nothing || !one.earths.is_empty()).collect();
        let Some(first) = open.first() else { return found };
        let names: Vec<String> = open.iter().map(|one| quoted(model.device_name(one.device))).collect();
        found.push(MissingFact::new(
            model[first.device].span,
            format!("the bonds of {} were not checked: no device is the chassis", list_of_first(&names, MOST, 0)),
            "no chassis in this design",
            "add the chassis as a device with `chassis: true` and a stud for each bond".to_owned(),
            "design".to_owned(),
        ));
        return found;
    }
    found.extend(by_case_alone(facts));
    found.extend(without_residual(facts));
    for one in &bonds.boxes {
        let name = model.device_name(one.device);
        let earths: Vec<_> = one.earths.iter().filter(|earth| earth.is_earth && earth.way.is_some()).collect();
        // Of a case without an earth pin of its own the bonds at its studs are judged.
        let is_case = one.needs == Needs::Case && one.is_conductive() && !one.is_mounted();
        let bonds = one.earths.iter().filter(|earth| is_case && earth.way.is_some());
        let judged = if earths.is_empty() { bonds.collect() } else { earths };
        if judged.is_empty() {
            continue;
        }
        if one.live.is_none() {
            found.push(MissingFact::new(
                model[one.device].span,
                format!("the size of the bond of `{name}` was not checked: no conductor of class B at it has a size"),
                "no size to compare the bond with",
                format!("add `size` to the wires of class B at `{name}`"),
                name.to_owned(),
            ));
            continue;
        }
        let ways = judged.iter().filter_map(|earth| earth.way.as_ref());
        let mut wires: Vec<WireId> = ways.flat_map(|way| way.wires(facts.network())).collect();
        wires.sort_unstable();
        wires.dedup();
        let lacking = |lacks: fn(&crate::model::Wire) -> bool| -> Vec<WireId> {
            wires.iter().copied().filter(|wire| lacks(&model[*wire])).collect()
        };
        for (wires, key, what) in [
            (lacking(|wire| wire.size.is_none()), "size", "the size"),
            (lacking(|wire| wire.length.is_none()), "length", "the resistance"),
        ] {
            let Some(wire) = wires.first() else { continue };
            let names: Vec<String> = wires.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
            found.push(MissingFact::new(
                model[*wire].span,
                format!(
                    "{what} of the bond of `{name}` was not fully checked: {} no {key}",
                    count_of(names.len(), "wire of it has", "wires of it have")
                ),
                "part of a bond",
                format!("add `{key}` to {}", list_of_first(&names, MOST, 0)),
                model.wire_name(*wire),
            ));
        }
    }
    found
}
