//! Facts without which it is not known whether a fuse ends a short.

use super::MissingFact;
use crate::{
    electrical::{
        faults::Verdict,
        fuses::fuse::{breaking_capacity_of, kind_of},
    },
    facts::Facts,
    model::{ElementId, ElementKind, FuseKindId, Model, WireId},
    wording::count,
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let mut findings = times(facts);
    findings.extend(breaking(facts));
    findings.extend(ends(facts));
    findings
}

/// Conductors that a source feeds past no fuse and that end at something of which nothing is known, one note for each end.
fn ends(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let reported: Vec<WireId> = facts.dangling().iter().flat_map(|dangling| &dangling.wires).map(|end| end.wire).collect();
    let mut findings = Vec::new();
    for unfused in facts.electrical().protection().unfused() {
        let source = model.element_name(unfused.source);
        // A wire that ends at nothing is a fault of its own.
        for run in unfused.to_unknown.iter().filter(|run| !run.wires.iter().any(|wire| reported.contains(wire))) {
            let Some(wire) = run.wires.last() else { continue };
            let (name, end) = (model.wire_name(*wire), model.point_name(run.load));
            findings.push(MissingFact::new(
                model[*wire].span,
                format!("whether wire `{name}` needs a fuse was not checked: `{source}` feeds it with no fuse between, and nothing is given of `{end}`, where it ends"),
                "ends at a point without a role, a signal or a domain",
                format!("add `role` to `{end}`, such as `role: supply` where it takes current or passes it on, or put a fuse near the source"),
                end,
            ));
        }
    }
    findings
}

/// Fuses on which the insulation of a conductor depends in a short, and whose operating times nothing says.
fn times(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let faults = facts.electrical().faults();
    let exposures = model.wires().filter_map(|(id, _)| faults.of_wire(id));
    let unknown = exposures.filter_map(|exposure| match exposure.verdict {
        Verdict::Unknown(fuse) => Some(fuse),
        Verdict::Burns | Verdict::Stands => None,
    });
    let mut findings = Vec::new();
    for group in by_kind(model, unknown.collect()).chunk_by(|a, b| a.0 == b.0) {
        let Some(&(kind, fuse)) = group.first() else { continue };
        let wires = count(group.len(), "conductor");
        findings.push(match kind.map(|kind| &model[kind]) {
            Some(kind) => {
                let name = model.text(kind.name);
                MissingFact::new(
                    kind.span,
                    format!(
                        "whether `{name}` ends a short in time for {wires} was not checked: its operating times are not known"
                    ),
                    "no `gates`, and none known for its standard near such a current",
                    format!("add `gates` to `{name}` from its datasheet: at which currents it opens within which times"),
                    name.to_owned(),
                )
            }
            None => {
                let name = model.element_name(fuse);
                MissingFact::new(
                    model[fuse].span,
                    format!("whether `{name}` ends a short in time for {wires} was not checked: nothing is known of the fuse"),
                    "no kind",
                    format!("give `{name}` a kind of `parts: fuses`"),
                    name,
                )
            }
        });
    }
    findings
}

/// Fuses in a short whose breaking capacity nothing says.
fn breaking(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let faults = facts.electrical().faults();
    let fuses = model.elements().map(|(id, _)| id).filter(|fuse| {
        let unsaid = kind_of(model, *fuse).is_some_and(|kind| breaking_capacity_of(model, kind).is_none());
        unsaid && faults.of_fuse(*fuse).is_some()
    });
    let mut findings = Vec::new();
    for group in by_kind(model, fuses.collect()).chunk_by(|a, b| a.0 == b.0) {
        let most = group.iter().filter_map(|(_, fuse)| faults.of_fuse(*fuse));
        let most = most.reduce(|a, b| if b.amps > a.amps { b } else { a });
        let kind = group.first().and_then(|(kind, _)| *kind).map(|kind| &model[kind]);
        let (Some(kind), Some(duty)) = (kind, most) else { continue };
        let name = model.text(kind.name);
        findings.push(MissingFact::new(
            kind.span,
            format!("whether `{name}` can break {} at `{}` was not checked", duty.amps, model.element_name(duty.fuse)),
            "no `breaking`",
            format!("add `breaking`, the breaking capacity, to `{name}`"),
            name.to_owned(),
        ));
    }
    findings
}

/// The fuses by their kinds; those without a kind are by themselves.
fn by_kind(model: &Model, fuses: Vec<ElementId>) -> Vec<(Option<FuseKindId>, ElementId)> {
    let kind = |fuse: ElementId| if let ElementKind::Fuse { kind, .. } = model[fuse].kind { kind } else { None };
    let mut fuses: Vec<_> = fuses.into_iter().map(|fuse| (kind(fuse), fuse)).collect();
    fuses.sort_unstable();
    fuses
}
