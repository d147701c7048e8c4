//! A conductor stands being pulled, tied and shaken.

use crate::{
    analysis::Analysis,
    evidence::remedies,
    finding::{Finding, Level, Worse},
    rules::{Rule, RulePage},
    standards::handling::road_single,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/thin-for-handling",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a single wire thinner than the least size for mechanical strength",
        docs: include_str!("thin_for_handling.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let usual = road_single();
    let limit = model.policy.handling_size;
    let least = limit.map_or(usual.value, |at| at.value);
    let mut findings = Vec::new();
    for (id, wire) in model.wires() {
        let Some(size) = wire.size else { continue };
        if wire.core.is_some() || size.value >= least {
            continue;
        }
        let name = model.wire_name(id);
        let finding = RULE
            .finding(size.span, format!("wire `{name}` is {}, thinner than the {least} that withstand handling", size.value))
            .label(format!("{least} or more"))
            .help(format!("use a larger conductor for `{name}`, or run it as the core of a cable"))
            .concerns(name)
            .weigh(size.value, Worse::Smaller);
        let finding = remedies::larger(analysis.facts(), id, least).into_iter().fold(finding, Finding::remedy);
        findings.push(match limit {
            Some(limit) => finding.context(limit.span, "the policy's limit").figure("limit", format!("{least} (policy)")),
            None => finding.figure("limit", format!("{least}, {}", usual.source)),
        });
    }
    findings
}
