//! Opening an interlock loop drops contactors of voltage class B.

use crate::{
    analysis::Analysis,
    evidence::{few_names, in_modes},
    facts::{
        Facts,
        loops::{DropsBy, LoopEffect},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::agree,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/no-effect",
        level: Level::Danger,
        since: "0.1.0",
        finds: "an interlock loop that drops no contactor: neither by the supply of its coil nor by the controller that drives it",
        docs: include_str!("no_effect.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mut findings = Vec::new();
    let mut seen = Vec::new();
    for effect in facts.loops().effects.iter().filter(|effect| effect.by == DropsBy::Nothing) {
        if seen.contains(&effect.bridge) {
            continue;
        }
        seen.push(effect.bridge);
        findings.push(finding(facts, effect));
    }
    findings
}

fn finding(facts: &Facts, effect: &LoopEffect) -> Finding {
    let model = facts.model();
    let (bridge, stay) = (model.element_name(effect.bridge), &effect.stay);
    let names: Vec<String> = stay.iter().map(|contactor| model.element_name(*contactor)).collect();
    let mut finding = RULE
        .finding(
            model[effect.bridge].value_span,
            format!(
                "with `{bridge}` open {} {} closed{}: the interlock loop drops nothing",
                few_names(&names),
                agree(names.len(), "stays", "stay"),
                in_modes(model, &[effect.mode])
            ),
            [],
        )
        .label("opens the loop and nothing else");
    for contactor in stay {
        finding = finding.context(model[*contactor].value_span, "stays closed");
    }
    finding = finding
        .help("lead the supply of the contactor coils through the loop, or end the loop at a pin of the controller that drives the coils")
        .concerns(bridge);
    names.into_iter().fold(finding, Finding::concerns)
}
