//! Contacts of voltage class A and B share no housing and no cable that is not made for both.

use crate::{
    analysis::Analysis,
    evidence::{domain_figure, labels_in_words, names_in_words},
    facts::{Connector, Contact},
    finding::{Finding, Level, Weighed},
    model::{CableId, DomainId, WireId},
    network::Potential,
    rules::{Rule, RulePage},
    standards::rated::{Duty, RatedVoltage},
    text::At,
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
    let connectors = analysis.facts().connectors();
    let mut findings: Vec<Finding> = connectors.iter().filter_map(|connector| connector_finding(analysis, connector)).collect();
    findings.extend(cables(analysis));
    findings
}

fn connector_finding(analysis: &Analysis, connector: &Connector) -> Option<Finding> {
    let model = analysis.model();
    let is_class_b = |held: Potential| held.domain().is_some_and(|domain| model[domain].is_class_b());
    let (class_b, rest): (Vec<&Contact>, Vec<&Contact>) = connector.contacts.iter().partition(|contact| is_class_b(contact.held));
    let housings = connector.halves().filter_map(|half| Some((half, &model[half.housing?])));
    // Where no housing is known nothing says what it is made for; `review/missing-fact` says so.
    if class_b.is_empty() || housings.clone().next().is_none() {
        return None;
    }
    let is_mixed = housings.clone().any(|(_, housing)| housing.mixed);
    let class_a: Vec<&Contact> = rest
        .into_iter()
        .filter(|contact| contact.held.domain().is_some() && !contact.is_interlock && !contact.is_screen)
        .collect();
    let highest = class_b.iter().filter_map(|contact| contact.held.domain()).map(|domain| &model[domain]);
    let highest = highest.max_by(|a, b| a.max.get().total_cmp(&b.max.get()))?;
    if class_a.is_empty() {
        // Where the rating is too low as well, that is what has to be said: it is the more severe and the more definite fault.
        let is_enough = |rated: Option<At<RatedVoltage>>| {
            rated.is_none_or(|rated| rated.value.falls_short(highest.service(), Duty::Insulates).is_none())
        };
        let (half, housing) =
            housings.clone().find(|(_, housing)| !housing.hv && !housing.mixed && is_enough(housing.voltage))?;
        let (name, kind) = (model.mate_name(half.at), model.text(housing.name));
        let headline = format!("housing `{name}` is not made for the {} in {}", highest.max, labels_in_words(model, &class_b));
        let finding = RULE
            .finding(half.place, headline, [Weighed::larger(highest.max)])
            .label("voltage class B in a housing that is not `hv: true`")
            .help(format!("use a housing made for voltage class B, or write `hv: true` at `{kind}` if its datasheet says so"))
            .concerns(name);
        return Some(with_domains(analysis, finding, &class_b));
    }
    if is_mixed {
        return None;
    }
    let name = model.mate_name(connector.own.at);
    let headline = format!(
        "housing `{name}` has voltage class B in {} beside class A in {}",
        labels_in_words(model, &class_b),
        labels_in_words(model, &class_a)
    );
    let mut finding = RULE
        .finding(connector.own.place, headline, [])
        .label("both voltage classes in one housing")
        .help(format!(
            "move {} to a connector of class A; if the connector is made for both, write `mixed: true` or list them as `interlock`",
            labels_in_words(model, &class_a)
        ))
        .concerns(name);
    for contacts in [&class_b, &class_a] {
        if let Some(contact) = contacts.first()
            && let Some(domain) = contact.held.domain()
            && let Some(pin) = analysis.facts().potentials().named_by(contact.point)
        {
            let text = format!("`{}` is of `{}`", model.text(contact.label), model.text(model[domain].name));
            finding = finding.context(model[pin].span, text);
        }
    }
    Some(with_domains(analysis, finding, &[class_b, class_a].concat()))
}

fn with_domains(analysis: &Analysis, mut finding: Finding, contacts: &[&Contact]) -> Finding {
    let mut seen: Vec<DomainId> = Vec::new();
    for domain in contacts.iter().filter_map(|contact| contact.held.domain()) {
        if !seen.contains(&domain) {
            seen.push(domain);
            finding = with_domain(analysis, finding, domain);
        }
    }
    finding
}

fn with_domain(analysis: &Analysis, finding: Finding, domain: DomainId) -> Finding {
    let model = analysis.model();
    finding.figure("domain", domain_figure(model, &model[domain]))
}

/// Cables whose cores are of both classes.
fn cables(analysis: &Analysis) -> Vec<Finding> {
    let (model, potentials) = (analysis.model(), analysis.facts().potentials());
    let mut cores: Vec<(CableId, WireId, DomainId)> = Vec::new();
    for (id, wire) in model.wires() {
        let ends = [wire.from, wire.to].into_iter().flatten();
        if let Some((cable, _)) = wire.core {
            cores.extend(ends.filter_map(|end| potentials.of(end)?.domain()).map(|domain| (cable, id, domain)));
        }
    }
    cores.sort_unstable();
    cores.chunk_by(|a, b| a.0 == b.0).filter_map(|group| cable_finding(analysis, group.first()?.0, group)).collect()
}

fn cable_finding(analysis: &Analysis, id: CableId, cores: &[(CableId, WireId, DomainId)]) -> Option<Finding> {
    let model = analysis.model();
    let cable = &model[id];
    let is_mixed = cable.kind.is_some_and(|kind| model[kind].mixed);
    let of = |b: bool| {
        let mut wires: Vec<WireId> = cores.iter().filter(|core| model[core.2].is_class_b() == b).map(|core| core.1).collect();
        wires.dedup();
        wires
    };
    let [class_b, mut neighbours] = [of(true), of(false)];
    // A core that joins both classes is a crossing, not a neighbour.
    neighbours.retain(|wire| !class_b.contains(wire));
    if is_mixed || class_b.is_empty() || neighbours.is_empty() {
        return None;
    }
    let [class_b, neighbours] = [class_b, neighbours].map(|wires| {
        let names: Vec<String> = wires.into_iter().map(|wire| model.wire_name(wire)).collect();
        names_in_words(&names)
    });
    let name = model.cable_name(id);
    let mut finding = RULE
        .finding(cable.span, format!("cable `{name}` has voltage class B in {class_b} beside class A in {neighbours}"), [])
        .label("both voltage classes in one cable")
        .help(format!("run {neighbours} outside this cable, or write `mixed: true` at its kind if it is made for both"))
        .concerns(name);
    let mut domains: Vec<DomainId> = cores.iter().map(|core| core.2).collect();
    domains.sort_unstable();
    domains.dedup();
    for domain in domains {
        finding = with_domain(analysis, finding, domain);
    }
    Some(finding)
}
