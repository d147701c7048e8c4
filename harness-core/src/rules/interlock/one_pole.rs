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
    let model = facts.model();
    let names: Vec<String> = one.loads.iter().map(|load| model.element_name(*load)).collect();
    let contactor = model.element_name(one.contactor);
    let stays = agree(names.len(), "stays", "stay");
    let finding = RULE
        .finding(
            model[one.contactor].value_span,
            format!(
                "with every contactor open {} {stays} joined to one pole of the battery of `{}`, at `{}`",
                few_names(&names),
                model.text(model[one.domain].name),
                model.point_name(one.point)
            ),
            [],
        )
        .label("opens the other pole alone")
        .help(
            "fit a contactor in that pole too; where one pole is enough, accept this with a waiver that says why (one fault of the insulation is \
             then found and cleared by another means)",
        )
        .concerns(contactor);
    names.into_iter().fold(finding, Finding::concerns)
}
