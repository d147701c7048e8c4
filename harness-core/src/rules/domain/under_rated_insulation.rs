//! Whatever carries a voltage domain is rated for its highest voltage.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::voltage_of,
    evidence::{domain_figure, labels_in_words, names_in_words},
    facts::{Connector, Contact, Facts, landings::LandingUse},
    finding::{Finding, Level},
    model::{CableId, DomainId, Element, ElementId, ElementKind, FuseKind, Model, PointId, WireId},
    network::Potential,
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
    let (facts, model) = (analysis.facts(), analysis.model());
    let mut findings = Vec::new();
    conductors(facts, &mut findings);
    findings.extend(facts.connectors().iter().filter_map(|connector| housing(model, connector)));
    findings.extend(facts.landings().iter().filter_map(|landing| point_for_wires(facts, landing)));
    findings.extend(model.elements().filter_map(|(id, element)| element_finding(facts, id, element)));
    findings
}

/// A screw, tab or clamp that is rated too low.
fn point_for_wires(facts: &Facts, landing: &LandingUse) -> Option<Finding> {
    let model = facts.model();
    let (port, kind) = (&model[landing.port], &model[landing.kind]);
    let rated = kind.voltage?;
    let (domain, max) = highest(facts, &[port.points.get(0)?]).filter(|(_, max)| rated.value < *max)?;
    let (what, name, kind) = (landing.fixing.noun(), model.port_name(landing.port), model.text(kind.name));
    let source = format!("point kind `{kind}`");
    let low = Low { what: &format!("{what} `{name}`"), rated: rated.value, domain, source, at: port.housing_span };
    Some(
        finding(model, &low)
            .label(format!("kind `{kind}`"))
            .context(rated.span, format!("rated voltage of `{kind}`"))
            .help(format!("use a {what} rated {max} or more"))
            .concerns(name),
    )
}

/// A rating that is too low, as a finding.
struct Low<'t> {
    what: &'t str,
    rated: Volt,
    domain: DomainId,
    source: String,
    at: Span,
}

fn finding(model: &Model, low: &Low<'_>) -> Finding {
    let domain = &model[low.domain];
    let below = Volt::new(domain.max.get() - low.rated.get());
    let name = model.text(domain.name);
    RULE.finding(low.at, format!("{} is rated {}, {below} below the {} of domain `{name}`", low.what, low.rated, domain.max))
        .context(domain.span, format!("`{name}` reaches {}", domain.max))
        .figure("rated voltage", format!("{} ({})", low.rated, low.source))
        .figure("domain", domain_figure(model, domain))
}

/// The voltage that a wire or part has to withstand: that of the highest domain at `points`; `None` where none is known, or where
/// class B meets another domain or the chassis there: that is a joint, reported as such.
fn highest(facts: &Facts, points: &[PointId]) -> Option<(DomainId, Volt)> {
    let mut highest: Option<(DomainId, Volt)> = None;
    let (mut is_mixed, mut is_class_b) = (false, false);
    for held in points.iter().filter_map(|point| facts.potentials().of(*point)) {
        let Potential::Domain(id) = held else {
            is_mixed = true;
            continue;
        };
        let domain = &facts.model()[id];
        is_class_b |= domain.is_class_b();
        is_mixed |= highest.is_some_and(|(other, _)| other != id);
        if highest.is_none_or(|(_, volts)| domain.max > volts) {
            highest = Some((id, domain.max));
        }
    }
    highest.filter(|_| !(is_mixed && is_class_b))
}

/// A core that is rated too low.
struct Core {
    cable: CableId,
    wire: WireId,
    domain: DomainId,
    rated: At<Volt>,
}

fn conductors(facts: &Facts, findings: &mut Vec<Finding>) {
    let model = facts.model();
    let mut cores: Vec<Core> = Vec::new();
    for (id, wire) in model.wires() {
        let points: Vec<_> = [wire.from, wire.to].into_iter().flatten().collect();
        let Some((rated, span)) = voltage_of(model, wire) else { continue };
        let Some((domain, _)) = highest(facts, &points).filter(|(_, max)| rated < *max) else { continue };
        if let Some((cable, _)) = wire.core {
            cores.push(Core { cable, wire: id, domain, rated: At { value: rated, span } });
            continue;
        }
        let name = model.wire_name(id);
        let kind = wire.kind.map_or("", |kind| model.text(model[kind].name));
        let source = format!("conductor kind `{kind}`");
        let low = Low { what: &format!("wire `{name}`"), rated, domain, source, at: wire.span };
        findings.push(
            finding(model, &low)
                .label(format!("kind `{kind}`"))
                .context(span, format!("rated voltage of `{kind}`"))
                .help(format!("give `{name}` a conductor kind for {} or more", model[domain].max))
                .concerns(name),
        );
    }
    cores.sort_by_key(|core| core.cable);
    findings.extend(cores.chunk_by(|a, b| a.cable == b.cable).filter_map(|cores| cable(model, cores)));
}

/// The finding of a cable, by the core of the highest domain.
fn cable(model: &Model, cores: &[Core]) -> Option<Finding> {
    let max = |core: &Core| model[core.domain].max;
    let Core { cable, domain, rated, .. } = cores.iter().max_by(|a, b| max(a).get().total_cmp(&max(b).get()))?;
    let (item, name) = (&model[*cable], model.cable_name(*cable));
    let kind = item.kind.map_or("", |kind| model.text(model[kind].name));
    let source = format!("cable kind `{kind}`");
    let low = Low { what: &format!("cable `{name}`"), rated: rated.value, domain: *domain, source, at: item.span };
    let wires: Vec<String> = cores.iter().map(|core| model.wire_name(core.wire)).collect();
    let finding = finding(model, &low)
        .label(format!("carries it in {}", names_in_words(&wires)))
        .context(rated.span, format!("rated voltage of `{kind}`"))
        .help(format!("use a cable rated {} or more", model[*domain].max))
        .concerns(name);
    Some(finding)
}

/// A connector of which a half is rated too low; the lower half if both are.
fn housing(model: &Model, connector: &Connector) -> Option<Finding> {
    let max = |domain: DomainId| model[domain].max;
    let domains = connector.contacts.iter().filter_map(|contact| contact.held.domain());
    let domain = domains.max_by(|a, b| max(*a).get().total_cmp(&max(*b).get()))?;
    let max = max(domain);
    let rated = connector.halves().filter_map(|half| Some((half, &model[half.housing?], model[half.housing?].voltage?)));
    let low: Vec<_> = rated.filter(|(_, _, rated)| rated.value < max).collect();
    let (half, kind, rated) = low.first()?;
    let carrying: Vec<&Contact> = connector.contacts.iter().filter(|contact| contact.held.domain() == Some(domain)).collect();
    let (name, kind) = (model.mate_name(half.at), model.text(kind.name));
    let what = format!("housing `{name}`");
    let report = Low { what: &what, rated: rated.value, domain, source: format!("housing kind `{kind}`"), at: half.place };
    let mut finding = finding(model, &report)
        .label(format!("carries it in {}", labels_in_words(model, &carrying)))
        .context(rated.span, format!("rated voltage of `{kind}`"));
    for (other, _, rated) in low.iter().skip(1) {
        finding = finding.context(other.place, format!("its partner `{}` is rated {}", model.mate_name(other.at), rated.value));
    }
    Some(finding.help(format!("use a connector rated {max} or more on both sides")).concerns(name))
}

/// What an element is rated for, as far as it says.
struct Rating<'m> {
    /// What it is, before its name.
    what: &'static str,
    /// The points between which it has to withstand the voltage.
    points: &'m [PointId],
    rated: Volt,
    source: String,
    at: Span,
    /// Where its kind says it.
    kind: Option<Span>,
}

fn rating<'m>(model: &'m Model, element: &'m Element) -> Option<Rating<'m>> {
    let as_written = |what, points, rated: Option<At<Volt>>| {
        let At { value, span } = rated?;
        Some(Rating { what, points, rated: value, source: "as written".to_owned(), at: span, kind: None })
    };
    match &element.kind {
        ElementKind::Fuse { kind, fitted: true } => {
            let (rated, source, span) = fuse_rating(model, &model[(*kind)?])?;
            Some(Rating { what: "fuse", points: &element.points, rated, source, at: element.value_span, kind: Some(span) })
        }
        ElementKind::Switch { voltage, .. } => as_written("switch", &*element.points, *voltage),
        ElementKind::Disconnect { voltage, .. } => as_written("disconnect", &*element.points, *voltage),
        ElementKind::Relay { voltage, .. } => as_written("relay", element.points.get(2..)?, *voltage),
        // What has no rated voltage in the format: it is the device's own to keep.
        ElementKind::Fuse { fitted: false, .. }
        | ElementKind::Source { .. }
        | ElementKind::Load { .. }
        | ElementKind::Resistor(_)
        | ElementKind::Capacitor(_)
        | ElementKind::Diode(_)
        | ElementKind::Link { .. }
        | ElementKind::Converter { .. }
        | ElementKind::Interlock { .. } => None,
    }
}

fn element_finding(facts: &Facts, id: ElementId, element: &Element) -> Option<Finding> {
    let model = facts.model();
    let Rating { what, points, rated, source, at, kind } = rating(model, element)?;
    let (domain, max) = highest(facts, points).filter(|(_, max)| rated < *max)?;
    let name = model.element_name(id);
    let mut finding = finding(model, &Low { what: &format!("{what} `{name}`"), rated, domain, source, at })
        .label(format!("rated {rated}"))
        .help(format!("use one rated {max} or more"))
        .concerns(name);
    if let Some(span) = kind {
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
