//! Contactors open both poles of a floating battery of voltage class B.

use crate::{
    analysis::Analysis,
    evidence::few_names,
    facts::{Facts, one_pole::OnePoled},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::agree,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/one-pole",
        level: Level::Warning,
        since: "0.1.0",
        finds: "contactors of voltage class B that open one pole of a floating battery and leave the other one joined",
        docs: include_str!("one_pole.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.one_poled().iter().map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &OnePoled) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let names: Vec<String> = one.takers.iter().map(|taker| taker.name(model)).collect();
    let contactor = model.element_name(one.contactor);
    let stays = agree(names.len(), "stays", "stay");
    let headline = format!(
        "with every contactor open {} {stays} joined to one pole of the battery of `{}`, at `{}`",
        few_names(&names),
        model.text(model[one.domain].name),
        model.point_name(one.point)
    );
    let volts = model[one.domain].max;
    let finding = match one.passed {
        Some(passed) => {
            let passed_name = model.element_name(passed);
            RULE.finding(model[passed].value_span, format!("{headline}, past `{passed_name}`"), [])
                .label("opens this pole for others, not for it")
                .context(model[one.contactor].value_span, "opens its other pole alone")
                .help(format!(
                    "feed {} from behind `{passed_name}`, so that both poles open; where it has to be before it, fit a contactor of its own in \
                     that lead, or accept this with a waiver that says why",
                    few_names(&names)
                ))
                .concerns(passed_name)
        }
        None => RULE
            .finding(model[one.contactor].value_span, headline, [])
            .label("opens the other pole alone")
            .help(
                "fit a contactor in that pole too; where one pole is enough, accept this with a waiver that says why (one fault of the \
                 insulation is then found and cleared by another means)",
            ),
    };
    let finding = finding
        .path(network.names(one.start, &one.path))
        .figure("one fault then", format!("puts up to {volts} on the chassis"))
        .concerns(contactor);
    names.into_iter().fold(finding, Finding::concerns)
}
