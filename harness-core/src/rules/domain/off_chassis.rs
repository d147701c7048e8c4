//! A source of a domain on the chassis has its negative pole on the chassis.

use crate::{
    analysis::Analysis,
    facts::{Facts, off_chassis::OffChassis},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/off-chassis",
        level: Level::Error,
        since: "0.1.0",
        finds: "a source of a domain with `reference: chassis` whose negative pole reaches no chassis",
        docs: include_str!("off_chassis.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.off_chassis().iter().map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &OffChassis) -> Finding {
    let model = facts.model();
    let (name, pole) = (model.element_name(one.source), model.point_name(one.pole));
    let domain = model.text(model[one.domain].name);
    let other = one.on_it.map(|point| model.point_name(point));
    let but = other.as_ref().map_or_else(String::new, |other| format!(", and `{other}` is on it"));
    let mut finding = RULE
        .finding(
            model[one.source].value_span,
            format!("the negative pole of `{name}` reaches no chassis: `{domain}` has the chassis as its reference{but}"),
            [],
        )
        .label(format!("`{pole}` is joined to no chassis"))
        .context(model[one.domain].span, "its reference is the chassis")
        .help(format!(
            "lead a conductor from `{pole}` or its negative bar to the chassis, as thick as the largest load needs; a domain apart from the chassis has `reference: floating`, not `{domain}`"
        ))
        .concerns(name);
    if let Some(point) = one.on_it {
        finding = finding.context(model[point].span, "on the chassis");
    }
    finding
}
