//! A pin states the domain of what it is joined to.

use crate::{
    analysis::Analysis,
    evidence::{domain_figure, nominal_words},
    facts::{Facts, odd_domains::OddDomain},
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/odd-domain",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a pin that states a domain of another voltage than all that it is joined to and the pins beside it",
        docs: include_str!("odd_domain.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.odd_domains().iter().filter_map(|odd| finding(facts, odd)).collect()
}

fn finding(facts: &Facts, odd: &OddDomain) -> Option<Finding> {
    let model = facts.model();
    let (own, span) = model[odd.pin.pin].domain?;
    let (meant, other_span) = model[odd.other.pin].domain?;
    let (name, other) = (model.point_name(odd.pin.point), model.point_name(odd.other.point));
    let (own_words, meant_words) = (nominal_words(model, own, meant), nominal_words(model, meant, own));
    let path = facts.network().path(
        odd.pin.point,
        |point| point == odd.other.point,
        |_, edge| edge.role.is_metal() || edge.role.runs_on(true),
    );
    let finding = RULE
        .finding(
            span,
            format!("pin `{name}` states domain {own_words}, but everything that it is joined to is in {meant_words}"),
            [own, meant].map(|domain| Weighed::neither(model[domain].nominal)),
        )
        .label(format!("`{}` here", model.text(model[own].name)))
        .context(other_span, format!("`{other}`: `{}`", model.text(model[meant].name)))
        .figure("domain", domain_figure(model, &model[own]))
        .figure("joined to", domain_figure(model, &model[meant]))
        .help(format!(
            "write `domain: {}` at `{name}`, or move its wire if the pin really is of {own_words}",
            model.text(model[meant].name)
        ))
        .concerns(name)
        .concerns(other);
    Some(match path {
        Some(steps) => finding.path(facts.network().names(odd.pin.point, &steps)),
        None => finding,
    })
}
