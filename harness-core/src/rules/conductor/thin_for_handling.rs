//! A single wire is strong enough to be pulled, tied and shaken.

use crate::{
    analysis::Analysis,
    evidence::remedies,
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    standards::handling::{is_as_strong, road_single},
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
        // A gauge is as strong as its metric equal, 22 AWG as 0.35 mm2.
        if wire.core.is_some() || is_as_strong(size.value, least).value {
            continue;
        }
        let name = model.wire_name(id);
        let finding = RULE
            .finding(
                size.span,
                format!("wire `{name}` is {}, thinner than {least}, the least for handling", size.value),
                [Weighed::smaller(size.value), Weighed::larger(least)],
            )
            .label(format!("{least} or more"))
            .help(format!("use a larger wire for `{name}`, or run it as the core of a cable"))
            .concerns(name);
        let finding = remedies::larger(analysis.facts(), id, least).into_iter().fold(finding, Finding::remedy);
        findings.push(match limit {
            Some(limit) => finding.context(limit.span, "the policy's limit").figure("limit", format!("{least} (policy)")),
            None => finding.figure("limit", format!("{least}, {}", usual.source)),
        });
    }
    findings
}
