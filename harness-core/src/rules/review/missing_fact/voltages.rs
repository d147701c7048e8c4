//! Facts without which insulation can't be judged in voltage class B.

use super::note;
use crate::{
    analysis::Analysis,
    electrical::conductor::voltage_of,
    finding::Finding,
    model::{ConductorId, DomainId, HousingId, Model, PointKind, WireId},
    network::{Domains, domains},
    standards::voltage::{VoltageClass, class},
};
use std::collections::BTreeSet;

pub(super) fn missing(analysis: &Analysis<'_>) -> Vec<Finding> {
    let model = analysis.model;
    let high = |domain: DomainId| model.domain(domain).is_some_and(|domain| class(domain.max, domain.ac) == VoltageClass::B);
    // Class A insulation is everywhere; asking for its rating would bury what matters.
    if !model.domains().any(|(id, _)| high(id)) {
        return Vec::new();
    }
    let domains = domains(model, analysis.network);
    let mut findings = wires(model, &domains, &high);
    findings.extend(housings(model, &domains, &high));
    findings
}

fn wires(model: &Model, domains: &Domains, high: &dyn Fn(DomainId) -> bool) -> Vec<Finding> {
    let mut kinds: BTreeSet<ConductorId> = BTreeSet::new();
    let mut single: Vec<WireId> = Vec::new();
    for (id, wire) in model.wires() {
        let domain = wire.from.or(wire.to).and_then(|point| domains.of(point));
        if !domain.is_some_and(high) || voltage_of(model, wire).is_some() {
            continue;
        }
        match wire.kind {
            Some(kind) => {
                kinds.insert(kind);
            }
            None => single.push(id),
        }
    }
    let kinds = kinds.into_iter().filter_map(|kind| {
        let item = model.conductor_kind(kind)?;
        let name = model.text(item.name);
        Some(note(
            item.span,
            format!("the insulation of `{name}` was not checked: it gives no `voltage` and runs in voltage class B"),
            "no `voltage`",
            format!("add `voltage` to `{name}`"),
            name.to_owned(),
        ))
    });
    let single = single.into_iter().filter_map(|id| {
        let name = model.wire_name(id);
        Some(note(
            model.wire(id)?.span,
            format!("the insulation of `{name}` was not checked: its kind or cable gives no `voltage`"),
            "runs in voltage class B",
            "name a conductor kind or cable with a `voltage`".to_owned(),
            name,
        ))
    });
    kinds.chain(single).collect()
}

fn housings(model: &Model, domains: &Domains, high: &dyn Fn(DomainId) -> bool) -> Vec<Finding> {
    let mut lacking: BTreeSet<HousingId> = BTreeSet::new();
    for (id, point) in model.points() {
        let (PointKind::Pin(_) | PointKind::Cavity(_)) = point.kind else { continue };
        if !domains.of(id).is_some_and(high) {
            continue;
        }
        let housing = match point.kind {
            PointKind::Pin(port) => model.port(port).and_then(|port| match port.kind {
                crate::model::PortKind::Connector(housing) => housing,
                crate::model::PortKind::Stud(_) => None,
            }),
            PointKind::Cavity(end) => model.end(end).and_then(|end| match end.kind {
                crate::model::EndKind::Connector(housing) => housing,
                crate::model::EndKind::Ring(_) => None,
            }),
            _ => None,
        };
        if let Some(housing) = housing.filter(|housing| model.housing(*housing).is_some_and(|item| item.voltage.is_none())) {
            lacking.insert(housing);
        }
    }
    let notes = lacking.into_iter().filter_map(|kind| {
        let item = model.housing(kind)?;
        let name = model.text(item.name);
        Some(note(
            item.span,
            format!("the insulation of the housing `{name}` was not checked: it gives no `voltage` and holds voltage class B"),
            "no `voltage`",
            format!("add `voltage` to `{name}`"),
            name.to_owned(),
        ))
    });
    notes.collect()
}
