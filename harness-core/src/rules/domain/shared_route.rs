//! What must keep apart runs by separate ways, or something that is stated keeps it apart.

use crate::{
    analysis::Analysis,
    electrical::conductors::bundle::Bundle,
    evidence::domain_figure,
    facts::{Facts, mixed_bundles::MixedBundle},
    finding::{Finding, Level},
    model::{CableId, DomainId, SegmentId, WireId},
    rules::{Rule, RulePage},
    standards::insulation::common_duct,
    vocabulary::Reference,
    wording::{agree, list_of_first, quoted},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/shared-route",
        level: Level::Warning,
        since: "0.1.0",
        finds: "class A beside class B in one segment without stated separation or insulation, or two floating domains in one cable",
        docs: include_str!("shared_route.md"),
    },
    check,
};

/// Wires that a message names.
const NAMED: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let unstated =
        facts.mixed_bundles().iter().filter(|mixed| !mixed.unstated.is_empty()).filter_map(|mixed| match mixed.bundle {
            Bundle::Segment(segment) => Some(beside(facts, mixed, segment)),
            // How wires without a route run is not known: `review/missing-fact` says so.
            Bundle::Loom(_) => None,
        });
    unstated.chain(cables(facts)).collect()
}

fn beside(facts: &Facts, mixed: &MixedBundle, segment: SegmentId) -> Finding {
    let (model, domain) = (facts.model(), &facts.model()[mixed.domain]);
    let names: Vec<String> = mixed.unstated.iter().map(|wire| model.wire_name(*wire)).collect();
    let quotes: Vec<String> = names.iter().map(quoted).collect();
    let (high, place) = (model.wire_name(mixed.high), model.text(model[segment].name));
    let headline = format!(
        "{} of class A {} beside `{high}` of `{}` in segment `{place}`, and nothing says what keeps them apart",
        list_of_first(&quotes, NAMED, 0),
        agree(names.len(), "runs", "run"),
        model.text(domain.name)
    );
    let first = mixed.unstated.first().map_or(model[segment].span, |wire| model[*wire].span);
    let finding = RULE
        .finding(first, headline, [])
        .label("its kind gives no rated voltage")
        .context(model[mixed.high].span, "class B")
        .context(model[segment].span, "where they run side by side")
        .figure("domain", domain_figure(model, domain))
        .figure("limit", common_duct())
        .help(format!(
            "lead them through different segments; or write the `voltage` of their kind, {} at least; or, if a partition keeps them apart, write \
             `barrier: true` at `{place}`",
            domain.max
        ))
        .concerns(&high);
    names.into_iter().fold(finding, Finding::concerns)
}

/// Cables with cores of two floating domains of class B.
fn cables(facts: &Facts) -> Vec<Finding> {
    let model = facts.model();
    let mut cores: BTreeMap<CableId, Vec<(DomainId, WireId)>> = BTreeMap::new();
    for (id, wire) in model.wires() {
        let Some((cable, _)) = wire.core else { continue };
        let held = [wire.from, wire.to].into_iter().flatten().find_map(|point| facts.potentials().of(point)?.domain());
        if let Some(domain) = held.filter(|domain| model[*domain].reference == Reference::Floating && model[*domain].is_class_b())
        {
            cores.entry(cable).or_default().push((domain, id));
        }
    }
    cores.into_iter().filter_map(|(cable, cores)| shared(facts, cable, cores)).collect()
}

fn shared(facts: &Facts, id: CableId, mut cores: Vec<(DomainId, WireId)>) -> Option<Finding> {
    let model = facts.model();
    let cable = &model[id];
    if cable.kind.is_some_and(|kind| model[kind].mixed) {
        return None;
    }
    cores.sort_unstable();
    let (one, other) = (cores.first()?, cores.last()?);
    if one.0 == other.0 {
        return None;
    }
    let [first, second] = [one, other].map(|(domain, _)| model.text(model[*domain].name));
    let name = model.cable_name(id);
    let finding = RULE
        .finding(cable.span, format!("cable `{name}` has cores of two floating domains, `{first}` and `{second}`"), [])
        .label("two floating domains in one cable")
        .figure("domain", domain_figure(model, &model[one.0]))
        .figure("domain", domain_figure(model, &model[other.0]))
        .help(format!("lead `{first}` and `{second}` in a cable each, or write `mixed: true` at its kind if it is made for both"))
        .concerns(name);
    let with = |finding: Finding, (domain, wire): &(DomainId, WireId)| {
        finding.context(model[*wire].span, format!("of `{}`", model.text(model[*domain].name)))
    };
    Some(with(with(finding, one), other))
}
