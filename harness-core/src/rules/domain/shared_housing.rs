//! Contacts of voltage class A and B share no housing and no cable that is not made for both.

use super::{
    facts::{domain_figure, is_class_b},
    housings::{Connector, Contact, connectors, is_screen, labels, listed},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{CableId, DomainId, WireId},
    network::{Nearest, Potential, potentials},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/shared-housing",
        level: Level::Error,
        since: "0.1.0",
        finds: "class A and B in one housing or cable, or class B in a housing not made for it",
        docs: include_str!("shared_housing.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let potentials = potentials(analysis.network());
    let connectors = connectors(analysis.model());
    let mut findings: Vec<Finding> =
        connectors.iter().filter_map(|connector| connector_finding(analysis, &potentials, connector)).collect();
    findings.extend(cables(analysis, &potentials));
    findings
}

fn connector_finding(analysis: &Analysis, potentials: &Nearest<Potential>, connector: &Connector<'_>) -> Option<Finding> {
    let model = analysis.model();
    let contacts = connector.contacts(model, potentials);
    let (class_b, rest): (Vec<&Contact>, Vec<&Contact>) =
        contacts.iter().partition(|contact| matches!(contact.held, Potential::Domain(domain) if is_class_b(model, domain)));
    if class_b.is_empty() || connector.halves.iter().filter_map(|half| half.housing).any(|housing| housing.mixed) {
        return None;
    }
    let class_a: Vec<&Contact> = rest
        .into_iter()
        .filter(|contact| matches!(contact.held, Potential::Domain(_)))
        .filter(|contact| !connector.is_interlock(contact.label) && !is_screen(model, contact))
        .collect();
    let highest = class_b.iter().filter_map(|contact| domain_of(contact.held)).filter_map(|domain| model.domain(domain));
    let highest = highest.max_by(|a, b| a.max.get().total_cmp(&b.max.get()))?;
    let first = connector.halves.first()?;
    // Where the rating is too low as well, that is what has to be said: it is the graver and the more definite fault.
    let unfit = connector.halves.iter().find(|half| {
        half.housing.is_some_and(|housing| !housing.hv && housing.voltage.is_none_or(|rated| rated.value >= highest.max))
    });
    if class_a.is_empty() {
        let unfit = unfit?;
        let kind = unfit.housing.map_or("", |housing| model.text(housing.name));
        let headline = format!("housing `{}` is not made for the {} in {}", unfit.name, highest.max, labels(model, &class_b));
        let finding = RULE
            .finding(unfit.span, headline)
            .label("voltage class B in a housing that is not `hv: true`")
            .help(format!("use a housing made for voltage class B, or write `hv: true` at `{kind}` if its datasheet says so"))
            .concerns(&unfit.name);
        return Some(with_domains(analysis, finding, &class_b));
    }
    let headline = format!(
        "housing `{}` has voltage class B in {} beside class A in {}",
        first.name,
        labels(model, &class_b),
        labels(model, &class_a)
    );
    let mut finding = RULE
        .finding(first.span, headline)
        .label("both voltage classes in one housing")
        .help(format!(
            "move {} to a connector of class A; if the part is made for both, write `mixed: true` or list them as `interlock`",
            labels(model, &class_a)
        ))
        .concerns(&first.name);
    for contacts in [&class_b, &class_a] {
        if let Some((contact, domain)) = contacts.first().and_then(|contact| Some((contact, domain_of(contact.held)?)))
            && let Some(pin) = potentials.named_by(contact.point).and_then(|pin| model.point(pin))
        {
            let name = model.domain(domain).map_or("", |domain| model.text(domain.name));
            finding = finding.context(pin.span, format!("`{}` is of `{name}`", model.text(contact.label)));
        }
    }
    Some(with_domains(analysis, finding, &[class_b, class_a].concat()))
}

fn domain_of(held: Potential) -> Option<DomainId> {
    match held {
        Potential::Domain(domain) => Some(domain),
        _ => None,
    }
}

fn with_domains(analysis: &Analysis, mut finding: Finding, contacts: &[&Contact]) -> Finding {
    let mut seen: Vec<DomainId> = Vec::new();
    for domain in contacts.iter().filter_map(|contact| domain_of(contact.held)) {
        if !seen.contains(&domain) {
            seen.push(domain);
            finding = with_domain(analysis, finding, domain);
        }
    }
    finding
}

fn with_domain(analysis: &Analysis, finding: Finding, domain: DomainId) -> Finding {
    match analysis.model().domain(domain) {
        Some(item) => finding.figure("domain", domain_figure(analysis.model(), item)),
        None => finding,
    }
}

/// Cables whose cores are of both classes.
fn cables(analysis: &Analysis, potentials: &Nearest<Potential>) -> Vec<Finding> {
    let model = analysis.model();
    let mut cores: Vec<(CableId, WireId, DomainId)> = Vec::new();
    for (id, wire) in model.wires() {
        let ends = [wire.from, wire.to].into_iter().flatten();
        if let Some((cable, _)) = wire.core {
            cores.extend(ends.filter_map(|end| domain_of(potentials.of(end)?)).map(|domain| (cable, id, domain)));
        }
    }
    cores.sort_unstable();
    let mut findings = Vec::new();
    for group in cores.chunk_by(|a, b| a.0 == b.0) {
        let Some(cable) = group.first().and_then(|core| model.cable(core.0)) else { continue };
        let is_mixed = cable.kind.and_then(|kind| model.cable_kind(kind)).is_some_and(|kind| kind.mixed);
        let names = |b: bool| {
            let mut wires: Vec<WireId> = group.iter().filter(|core| is_class_b(model, core.2) == b).map(|core| core.1).collect();
            wires.dedup();
            wires.into_iter().map(|wire| model.wire_name(wire)).collect::<Vec<String>>()
        };
        let [class_b, class_a] = [names(true), names(false)];
        // A core that joins both classes is a crossing, not a neighbour.
        let neighbours: Vec<&str> = class_a.iter().filter(|name| !class_b.contains(name)).map(String::as_str).collect();
        if is_mixed || class_b.is_empty() || neighbours.is_empty() {
            continue;
        }
        let name = format!("{}.{}", model.loom_name(cable.loom), model.text(cable.name));
        let class_b = listed(class_b.iter().map(String::as_str));
        let neighbours = listed(neighbours.into_iter());
        let mut finding = RULE
            .finding(cable.span, format!("cable `{name}` has voltage class B in {class_b} beside class A in {neighbours}"))
            .label("both voltage classes in one cable")
            .help(format!("run {neighbours} outside this cable, or write `mixed: true` at its kind if it is made for both"))
            .concerns(name);
        let mut domains: Vec<DomainId> = group.iter().map(|core| core.2).collect();
        domains.sort_unstable();
        domains.dedup();
        for domain in domains {
            finding = with_domain(analysis, finding, domain);
        }
        findings.push(finding);
    }
    findings
}
