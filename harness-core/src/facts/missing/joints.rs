//! Facts without which mating, contacts and seals are not known.

use super::MissingFact;
use crate::{
    electrical::conductors::conductor::wall_of,
    facts::Facts,
    model::{ConductorId, EndKind, HousingId, LandingKindId, Mate, Model, PointId, PointKind, PortKind},
    network::{EdgeKind, Potential},
    text::Span,
};
use std::collections::BTreeSet;

/// Current from which something flows, in ampere.
const NOTHING: f64 = 1e-6;

/// A fact that a housing kind lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Lacks {
    Current,
    Size,
    Sealed,
}

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut findings = Vec::new();
    let mut lacks: BTreeSet<(HousingId, Lacks)> = BTreeSet::new();
    let wired = wired(facts);
    let loaded = loaded(facts);
    let mut unhoused: Vec<(Span, String)> = Vec::new();
    for (id, end) in model.ends() {
        let EndKind::Connector(housing) = end.kind else { continue };
        let partner = partner_housing(model, end.mate);
        if end.mate.is_some() && (housing.is_none() || partner == Some(None)) {
            unhoused.push((end.span, model.end_name(id)));
        }
        let Some(kind) = housing else { continue };
        let item = &model[kind];
        let has = |points: &BTreeSet<PointId>| end.points.iter().any(|point| points.contains(&point));
        let named = |point: PointId| end.terminals.iter().any(|(cavity, _, _)| *cavity == point);
        let uncovered = end.points.iter().any(|point| wired.contains(&point) && !named(point));
        let terminal = end.terminal.map(|(terminal, _)| &model[terminal]);
        if item.current.is_none() && terminal.is_none_or(|terminal| terminal.current.is_none()) && has(&loaded) {
            lacks.insert((kind, Lacks::Current));
        }
        if item.takes_size.is_none() && terminal.is_none_or(|terminal| terminal.size.is_none()) && uncovered {
            lacks.insert((kind, Lacks::Size));
        }
        let wet = end.zone.is_some_and(|zone| model[zone].wet);
        if item.sealed.is_none() && wet {
            lacks.insert((kind, Lacks::Sealed));
        }
    }
    unhoused.extend(bare_class_b(facts));
    findings.extend(unhoused_note(unhoused));
    findings.extend(lacks.into_iter().map(|(kind, lacks)| housing_note(model, kind, lacks)));
    findings.extend(walls(model));
    findings.extend(points(facts));
    findings
}

/// Connectors of devices with class B that nothing mates and that have no housing.
fn bare_class_b(facts: &Facts) -> Vec<(Span, String)> {
    let model = facts.model();
    let is_class_b = |held: Potential| held.domain().is_some_and(|domain| model[domain].is_class_b());
    let bare = facts.connectors().iter().filter(|connector| {
        connector.partner.is_none()
            && matches!(connector.own.at, Mate::Port(_))
            && connector.own.housing.is_none()
            && connector.contacts.iter().any(|contact| is_class_b(contact.held))
    });
    bare.map(|connector| (connector.own.place, model.mate_name(connector.own.at))).collect()
}

/// One note for all connectors without a housing.
fn unhoused_note(unhoused: Vec<(Span, String)>) -> Option<MissingFact> {
    let mut all = unhoused.into_iter();
    let (place, name) = all.next()?;
    let others: Vec<(Span, String)> = all.collect();
    let unchecked = match others.len() {
        0 => format!("mating, wires per cavity and voltage class of `{name}` were not checked: it or its partner has no housing"),
        more => format!(
            "mating, wires per cavity and voltage class of {} connectors were not checked: they or their partners have no housing",
            more + 1
        ),
    };
    let remedy = "name the housing of both halves (`housing`), and define it under `parts: housings`".to_owned();
    Some(MissingFact { others, ..MissingFact::new(place, unchecked, "no `housing` here or at its partner", remedy, name) })
}

/// Kinds of points for bare wires that say too little of what they take.
fn points(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut lacks: BTreeSet<(LandingKindId, &str)> = BTreeSet::new();
    for landing in facts.landings().iter().filter(|landing| !landing.wires.is_empty()) {
        let kind = &model[landing.kind];
        if kind.takes.is_empty() {
            lacks.insert((landing.kind, "takes"));
        }
        if kind.current.is_none() && facts.landing_current(landing).is_some_and(|(amps, _)| amps.get() > NOTHING) {
            lacks.insert((landing.kind, "current"));
        }
    }
    let notes = lacks.into_iter().map(|(id, key)| {
        let name = model.text(model[id].name);
        let (what, lacks, example) = match key {
            "takes" => (
                "the number and sizes of wires at",
                "no `takes`",
                "takes: [ { wires: 1, size: 0.5 mm2 .. 6 mm2 }, { wires: 2, size: 0.5 mm2 .. 4 mm2 } ]",
            ),
            _ => ("the currents of", "no `current`", "current: 41 A"),
        };
        MissingFact::new(
            model[id].span,
            format!("{what} points of the kind `{name}` were not checked: it gives no `{key}`"),
            lacks,
            format!("add `{key}` to `{name}`, such as `{example}`"),
            name.to_owned(),
        )
    });
    notes.collect()
}

/// Conductor kinds that go through a seal of a stated range while nothing says how thick their insulation is.
fn walls(model: &Model) -> Vec<MissingFact> {
    let mut kinds: BTreeSet<ConductorId> = BTreeSet::new();
    for (_, wire) in model.wires() {
        let (Some(kind), true) = (wire.kind, wire.core.is_none()) else { continue };
        if wall_of(model, &model[kind]).is_some() {
            continue;
        }
        if [wire.from, wire.to].into_iter().flatten().any(|point| is_sealed(model, point)) {
            kinds.insert(kind);
        }
    }
    let notes = kinds.into_iter().map(|kind| {
        let item = &model[kind];
        let name = model.text(item.name);
        MissingFact::new(
            item.span,
            format!("seals around `{name}` were not checked: nothing says whether its wall is thin or thick"),
            "no `wall`",
            format!("add `wall: thin` or `wall: thick` to `{name}`"),
            name.to_owned(),
        )
    });
    notes.collect()
}

/// Whether the cavity gives a range of diameters over the insulation.
fn is_sealed(model: &Model, point: PointId) -> bool {
    let PointKind::Cavity(end) = model[point].kind else { return false };
    let end = &model[end];
    let own = end.terminals.iter().find(|(cavity, _, _)| *cavity == point).map(|(_, terminal, _)| *terminal);
    let terminal = own.or(end.terminal.map(|(terminal, _)| terminal)).map(|terminal| &model[terminal]);
    let housing = end.housing().map(|housing| &model[housing]);
    terminal.is_some_and(|terminal| terminal.insulation.is_some())
        || housing.is_some_and(|housing| housing.takes_insulation.is_some())
}

/// The housing of what an end mates: `None` if that has no housing to have, `Some(None)` if it has one that is not named.
fn partner_housing(model: &Model, mate: Option<Mate>) -> Option<Option<HousingId>> {
    match mate? {
        Mate::Port(port) => match model[port].kind {
            PortKind::Connector(housing) => Some(housing),
            PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => None,
        },
        Mate::End(end) => match model[end].kind {
            EndKind::Connector(housing) => Some(housing),
            EndKind::Ring(_) | EndKind::Bare => None,
        },
    }
}

/// Points at which a wire with a size ends.
fn wired(facts: &Facts) -> BTreeSet<PointId> {
    let sized = facts.model().wires().filter(|(_, wire)| wire.size.is_some());
    sized.flat_map(|(_, wire)| [wire.from, wire.to]).flatten().collect()
}

/// Cavities whose contact carries current in some mode.
fn loaded(facts: &Facts) -> BTreeSet<PointId> {
    let contacts = facts.network().edges().filter(|(_, edge)| matches!(edge.kind, EdgeKind::Contact(_)));
    let carries = |edge| facts.electrical().modes().any(|mode| mode.amps(edge).get().abs() > NOTHING);
    contacts.filter(|(id, _)| carries(*id)).flat_map(|(_, edge)| [edge.a, edge.b]).collect()
}

fn housing_note(model: &Model, kind: HousingId, lacks: Lacks) -> MissingFact {
    let item = &model[kind];
    let name = model.text(item.name);
    let (what, key, lacks, example) = match lacks {
        Lacks::Current => ("contact currents", "current", "no `current`", "current: 13 A"),
        Lacks::Size => ("wire sizes", "takes", "no `takes`", "takes: { size: 0.35 mm2 .. 1.0 mm2 }"),
        Lacks::Sealed => ("seals in wet zones", "sealed", "no `sealed`", "sealed: true"),
    };
    MissingFact::new(
        item.span,
        format!("{what} of the housing `{name}` were not checked: it gives no `{key}`"),
        lacks,
        format!("add `{key}` to `{name}`, such as `{example}`"),
        name.to_owned(),
    )
}
