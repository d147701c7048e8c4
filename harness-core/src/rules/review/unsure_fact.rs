//! What the design itself marks as unsure is said, so that nobody takes it for measured.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{agree, list},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "review/unsure-fact",
        level: Level::Note,
        since: "0.1.0",
        finds: "facts that the design gives and marks as still to be found out",
        docs: include_str!("unsure_fact.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    // The facts of one thing are together, in the order written.
    let things = model.unsure.chunk_by(|(one, ..), (other, ..)| one == other);
    let mut findings = Vec::new();
    for facts in things {
        let Some((thing, _, span)) = facts.first() else { continue };
        let names: Vec<String> = facts.iter().map(|(_, fact, _)| format!("`{}`", model.text(*fact))).collect();
        let (is, them) = (agree(names.len(), "is", "are"), agree(names.len(), "it", "them"));
        let headline = format!("{} of `{thing}` {is} still to be found out; verdicts that rest on {them} are open", list(&names));
        let finding = RULE
            .finding(*span, headline, [])
            .label("marked `unsure`")
            .help(format!("find {them} out, and take {them} off the list `unsure` of `{thing}`"))
            .concerns(thing.clone());
        findings.push(facts.iter().skip(1).fold(finding, |finding, (.., span)| finding.context(*span, "this too")));
    }
    findings
}
