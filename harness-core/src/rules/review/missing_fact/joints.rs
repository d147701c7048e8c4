//! Facts without which mating, contacts and seals are not known.

use super::note;
use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::wall_of,
    finding::Finding,
    model::{ConductorId, EndKind, HousingId, Mate, Model, PointId, PointKind, PortKind},
    network::EdgeKind,
};
use std::collections::BTreeSet;

/// A fact that a housing kind lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Lacks {
    Current,
    Size,
    Sealed,
}

pub(super) fn missing(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    let mut lacks: BTreeSet<(HousingId, Lacks)> = BTreeSet::new();
    let wired = wired(analysis);
    let loaded = loaded(analysis);
    for (id, end) in model.ends() {
        let EndKind::Connector(housing) = end.kind else { continue };
        let partner = partner_housing(model, end.mate);
        if end.mate.is_some() && (housing.is_none() || partner == Some(None)) {
            let name = model.end_name(id);
            let which = if housing.is_none() { "it has" } else { "its partner has" };
            findings.push(note(
                end.span,
                format!("the mating of `{name}` was not checked: {which} no housing"),
                "no `housing`",
                "name the housing of both, and define it under `parts: housings`".to_owned(),
                name,
            ));
        }
        let Some(kind) = housing else { continue };
        let Some(item) = model.housing(kind) else { continue };
        let has = |points: &BTreeSet<PointId>| end.points.iter().any(|point| points.contains(&point));
        let named = |point: PointId| end.terminals.iter().any(|(cavity, _, _)| *cavity == point);
        let uncovered = end.points.iter().any(|point| wired.contains(&point) && !named(point));
        let terminal = end.terminal.and_then(|(terminal, _)| model.terminal(terminal));
        if item.current.is_none() && terminal.is_none_or(|terminal| terminal.current.is_none()) && has(&loaded) {
            lacks.insert((kind, Lacks::Current));
        }
        if item.takes_size.is_none() && terminal.is_none_or(|terminal| terminal.size.is_none()) && uncovered {
            lacks.insert((kind, Lacks::Size));
        }
        let wet = end.zone.and_then(|zone| model.zone(zone)).is_some_and(|zone| zone.wet);
        if item.sealed.is_none() && wet {
            lacks.insert((kind, Lacks::Sealed));
        }
    }
    findings.extend(lacks.into_iter().filter_map(|(kind, lacks)| housing_note(model, kind, lacks)));
    findings.extend(walls(model));
    findings
}

/// Conductor kinds that go through a seal of a stated range while nothing says how thick their insulation is.
fn walls(model: &Model) -> Vec<Finding> {
    let mut kinds: BTreeSet<ConductorId> = BTreeSet::new();
    for (_, wire) in model.wires() {
        let (Some(kind), true) = (wire.kind, wire.core.is_none()) else { continue };
        let Some(item) = model.conductor_kind(kind) else { continue };
        if wall_of(model, item).is_some() {
            continue;
        }
        if [wire.from, wire.to].into_iter().flatten().any(|point| is_sealed(model, point)) {
            kinds.insert(kind);
        }
    }
    let notes = kinds.into_iter().filter_map(|kind| {
        let item = model.conductor_kind(kind)?;
        let name = model.text(item.name);
        Some(note(
            item.span,
            format!("seals around `{name}` were not checked: nothing says whether its wall is thin or thick"),
            "no `wall`",
            format!("add `wall: thin` or `wall: thick` to `{name}`"),
            name.to_owned(),
        ))
    });
    notes.collect()
}

/// Whether the cavity gives a range of diameters over the insulation.
fn is_sealed(model: &Model, point: PointId) -> bool {
    let Some(PointKind::Cavity(end)) = model.point(point).map(|point| point.kind) else { return false };
    let Some(end) = model.end(end) else { return false };
    let own = end.terminals.iter().find(|(cavity, _, _)| *cavity == point).map(|(_, terminal, _)| *terminal);
    let terminal = own.or(end.terminal.map(|(terminal, _)| terminal)).and_then(|terminal| model.terminal(terminal));
    let housing = end.housing().and_then(|housing| model.housing(housing));
    terminal.is_some_and(|terminal| terminal.insulation.is_some())
        || housing.is_some_and(|housing| housing.takes_insulation.is_some())
}

/// The housing of what an end mates: `None` if that has no housing to have, `Some(None)` if it has one that is not named.
fn partner_housing(model: &Model, mate: Option<Mate>) -> Option<Option<HousingId>> {
    match mate? {
        Mate::Port(port) => match model.port(port)?.kind {
            PortKind::Connector(housing) => Some(housing),
            PortKind::Stud(_) => None,
        },
        Mate::End(end) => match model.end(end)?.kind {
            EndKind::Connector(housing) => Some(housing),
            EndKind::Ring(_) => None,
        },
    }
}

/// Points at which a wire with a size ends.
fn wired(analysis: &Analysis) -> BTreeSet<PointId> {
    let sized = analysis.model().wires().filter(|(_, wire)| wire.size.is_some());
    sized.flat_map(|(_, wire)| [wire.from, wire.to]).flatten().collect()
}

/// Cavities whose contact carries current in some mode.
fn loaded(analysis: &Analysis) -> BTreeSet<PointId> {
    let contacts = analysis.network().edges().filter(|(_, edge)| matches!(edge.kind, EdgeKind::Contact(_)));
    let carries = |edge| analysis.electrical().modes().any(|mode| mode.amps(edge).get().abs() > 1e-6);
    contacts.filter(|(id, _)| carries(*id)).flat_map(|(_, edge)| [edge.a, edge.b]).collect()
}

fn housing_note(model: &Model, kind: HousingId, lacks: Lacks) -> Option<Finding> {
    let item = model.housing(kind)?;
    let name = model.text(item.name);
    let (what, key, example) = match lacks {
        Lacks::Current => ("contact currents", "current", "current: 13 A"),
        Lacks::Size => ("wire sizes", "takes", "takes: { size: 0.35 mm2 .. 1.0 mm2 }"),
        Lacks::Sealed => ("seals in wet zones", "sealed", "sealed: true"),
    };
    Some(note(
        item.span,
        format!("{what} of the housing `{name}` were not checked: it gives no `{key}`"),
        &format!("no `{key}`"),
        format!("add `{key}` to `{name}`, such as `{example}`"),
        name.to_owned(),
    ))
}
