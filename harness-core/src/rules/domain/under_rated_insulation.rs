//! Whatever carries a voltage domain is rated for its highest voltage.

use super::{
    facts::{domain_figure, highest},
    housings::{Connector, connectors, labels, listed},
};
use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::voltage_of,
    finding::{Finding, Level},
    model::{CableId, DomainId, Element, ElementId, ElementKind, FuseKind, Model, WireId},
    network::{Nearest, Potential, potentials},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::fuse::FuseStandard,
    text::{At, Span},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/under-rated-insulation",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a wire, cable, housing, fuse or switch rated below the highest voltage of its domain",
        docs: include_str!("under_rated_insulation.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let potentials = potentials(analysis.network());
    let mut findings = Vec::new();
    conductors(model, &potentials, &mut findings);
    for connector in connectors(model) {
        findings.extend(housing(model, &potentials, &connector));
    }
    for (id, element) in model.elements() {
        findings.extend(element_finding(model, &potentials, id, element));
    }
    findings
}

/// A rating that is too low, as a finding.
struct Low<'t> {
    what: &'t str,
    rated: Volt,
    domain: DomainId,
    source: String,
    at: Span,
}

fn finding(model: &Model, low: &Low<'_>) -> Option<Finding> {
    let domain = model.domain(low.domain)?;
    let below = Volt::new(domain.max.get() - low.rated.get());
    let name = model.text(domain.name);
    Some(
        RULE.finding(low.at, format!("{} is rated {}, {below} below the {} of domain `{name}`", low.what, low.rated, domain.max))
            .context(domain.span, format!("`{name}` reaches {}", domain.max))
            .figure("rated voltage", format!("{} ({})", low.rated, low.source))
            .figure("domain", domain_figure(model, domain)),
    )
}

fn conductors(model: &Model, potentials: &Nearest<Potential>, findings: &mut Vec<Finding>) {
    let mut cores: Vec<(CableId, WireId, DomainId, At<Volt>)> = Vec::new();
    for (id, wire) in model.wires() {
        let points: Vec<_> = [wire.from, wire.to].into_iter().flatten().collect();
        let Some((rated, span)) = voltage_of(model, wire) else { continue };
        let Some((domain, _)) = highest(model, potentials, &points).filter(|(_, max)| rated < *max) else { continue };
        if let Some((cable, _)) = wire.core {
            cores.push((cable, id, domain, At { value: rated, span }));
            continue;
        }
        let name = model.wire_name(id);
        let kind = wire.kind.and_then(|kind| model.conductor_kind(kind)).map_or("", |kind| model.text(kind.name));
        let source = format!("conductor kind `{kind}`");
        let low = Low { what: &format!("wire `{name}`"), rated, domain, source, at: wire.span };
        findings.extend(finding(model, &low).map(|finding| {
            finding
                .label(format!("kind `{kind}`"))
                .context(span, format!("rated voltage of `{kind}`"))
                .help(format!("give `{name}` a conductor kind for {} or more", voltage_at(model, domain)))
                .concerns(&name)
        }));
    }
    cores.sort_by_key(|core| core.0);
    for group in cores.chunk_by(|a, b| a.0 == b.0) {
        let highest = group.iter().max_by(|a, b| voltage_at(model, a.2).get().total_cmp(&voltage_at(model, b.2).get()));
        let Some((cable, _, domain, rated)) = highest else { continue };
        let Some(item) = model.cable(*cable) else { continue };
        let name = format!("{}.{}", model.loom_name(item.loom), model.text(item.name));
        let kind = item.kind.and_then(|kind| model.cable_kind(kind)).map_or("", |kind| model.text(kind.name));
        let source = format!("cable kind `{kind}`");
        let low = Low { what: &format!("cable `{name}`"), rated: rated.value, domain: *domain, source, at: item.span };
        let wires: Vec<String> = group.iter().map(|core| model.wire_name(core.1)).collect();
        findings.extend(finding(model, &low).map(|finding| {
            finding
                .label(format!("carries it in {}", listed(wires.iter().map(String::as_str))))
                .context(rated.span, format!("rated voltage of `{kind}`"))
                .help(format!("use a cable rated {} or more", voltage_at(model, *domain)))
                .concerns(&name)
        }));
    }
}

fn voltage_at(model: &Model, domain: DomainId) -> Volt {
    model.domain(domain).map(|domain| domain.max).unwrap_or_default()
}

/// A connector of which a half is rated too low; the lower half if both are.
fn housing(model: &Model, potentials: &Nearest<Potential>, connector: &Connector<'_>) -> Option<Finding> {
    let contacts = connector.contacts(model, potentials);
    let domain_of = |held| match held {
        Potential::Domain(domain) => Some(domain),
        _ => None,
    };
    let domains = contacts.iter().filter_map(|contact| domain_of(contact.held));
    let domain = domains.max_by(|a, b| voltage_at(model, *a).get().total_cmp(&voltage_at(model, *b).get()))?;
    let max = voltage_at(model, domain);
    let rated = connector.halves.iter().filter_map(|half| Some((half, half.housing?, half.housing?.voltage?)));
    let low: Vec<_> = rated.filter(|(_, _, rated)| rated.value < max).collect();
    let (half, kind, rated) = low.first()?;
    let carrying: Vec<_> = contacts.iter().filter(|contact| domain_of(contact.held) == Some(domain)).collect();
    let kind = model.text(kind.name);
    let what = format!("housing `{}`", half.name);
    let report = Low { what: &what, rated: rated.value, domain, source: format!("housing kind `{kind}`"), at: half.span };
    let mut finding = finding(model, &report)?
        .label(format!("carries it in {}", labels(model, &carrying)))
        .context(rated.span, format!("rated voltage of `{kind}`"));
    for (other, _, rated) in low.iter().skip(1) {
        finding = finding.context(other.span, format!("its partner `{}` is rated {}", other.name, rated.value));
    }
    Some(finding.help(format!("use a connector rated {max} or more on both sides")).concerns(&half.name))
}

fn element_finding(model: &Model, potentials: &Nearest<Potential>, id: ElementId, element: &Element) -> Option<Finding> {
    let name = model.element_name(id);
    let (what, points, rated, source, at) = match &element.kind {
        ElementKind::Fuse { kind, fitted: true } => {
            let kind = model.fuse_kind((*kind)?)?;
            let (rated, source, span) = fuse_rating(model, kind)?;
            (format!("fuse `{name}`"), &*element.points, rated, source, (element.value_span, Some(span)))
        }
        ElementKind::Switch { voltage, .. } => {
            (format!("switch `{name}`"), &*element.points, (*voltage)?.value, "as written".to_owned(), ((*voltage)?.span, None))
        }
        ElementKind::Disconnect { voltage, .. } => (
            format!("disconnect `{name}`"),
            &*element.points,
            (*voltage)?.value,
            "as written".to_owned(),
            ((*voltage)?.span, None),
        ),
        ElementKind::Relay { voltage, .. } => {
            let contact = element.points.get(2..)?;
            (format!("relay `{name}`"), contact, (*voltage)?.value, "as written".to_owned(), ((*voltage)?.span, None))
        }
        _ => return None,
    };
    let (domain, max) = highest(model, potentials, points).filter(|(_, max)| rated < *max)?;
    let (at, kind_span) = at;
    let mut finding = finding(model, &Low { what: &what, rated, domain, source, at })?
        .label(format!("rated {rated}"))
        .help(format!("use one rated {max} or more"))
        .concerns(name);
    if let Some(span) = kind_span {
        finding = finding.context(span, format!("says {rated}"));
    }
    Some(finding)
}

/// Rated voltage of a fuse, where it comes from and where that is written.
fn fuse_rating(model: &Model, kind: &FuseKind) -> Option<(Volt, String, Span)> {
    let name = model.text(kind.name);
    if let Some(own) = kind.voltage {
        return Some((own.value, format!("fuse kind `{name}`"), own.span));
    }
    let standard = kind.standard?;
    let rated = FuseStandard::named(model.text(standard.value))?.rated_voltage();
    Some((rated.value, rated.source.to_string(), standard.span))
}
