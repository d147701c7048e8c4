//! A number that was taken out of use stays out of use.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "review/retired-number",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire whose number is on the list of those that must never be used again",
        docs: include_str!("retired_number.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut retired = BTreeMap::new();
    for (number, span) in &model.retired {
        // Written twice it is still one number.
        retired.entry(model.text(*number)).or_insert(*span);
    }
    let mut findings = Vec::new();
    if retired.is_empty() {
        return findings;
    }
    for (id, wire) in model.wires() {
        let name = model.wire_name(id);
        let number = model.text(wire.name);
        let (barred, span) = match (retired.get(name.as_str()), retired.get(number)) {
            (Some(span), _) => ("a retired number".to_owned(), *span),
            (None, Some(span)) => (format!("the number `{number}`, which is retired in all looms"), *span),
            (None, None) => continue,
        };
        findings.push(
            RULE.finding(wire.span, format!("wire `{name}` has {barred}"), [])
                .label("must not be used again")
                .context(span, "retired here")
                .help(format!("give `{name}` a number that was never used"))
                .concerns(name),
        );
    }
    findings
}
