//! The interlock loop opens the supply of the contactor coils, not their ground.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        loops::{DropsBy, LoopEffect},
    },
    finding::{Finding, Level},
    model::ElementId,
    rules::{Rule, RulePage},
    standards::interlock::not_in_the_ground_side,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/ground-side",
        level: Level::Error,
        since: "0.1.0",
        finds: "an interlock loop in the ground side of a contactor coil, where one wire that touches the chassis bypasses it",
        docs: include_str!("ground_side.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mut seen: Vec<ElementId> = Vec::new();
    let mut findings = Vec::new();
    for effect in &facts.loops().effects {
        let DropsBy::Circuit { ground_side: Some(coil) } = effect.by else { continue };
        if !seen.contains(&effect.bridge) {
            seen.push(effect.bridge);
            findings.push(finding(facts, effect, coil));
        }
    }
    findings
}

fn finding(facts: &Facts, effect: &LoopEffect, coil: ElementId) -> Finding {
    let model = facts.model();
    let (bridge, relay) = (model.element_name(effect.bridge), model.element_name(coil));
    RULE.finding(
        model[effect.bridge].value_span,
        format!("the interlock loop over `{bridge}` is in the ground side of the coil of `{relay}`"),
        [],
    )
    .label("opens the ground of the coil")
    .context(model[coil].value_span, "keeps its supply with the loop open")
    .figure("rule", not_in_the_ground_side())
    .help(format!("lead the loop through the supply of `{relay}`, before its coil"))
    .concerns(bridge)
    .concerns(relay)
}
