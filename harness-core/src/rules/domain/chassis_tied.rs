//! A floating voltage domain is not tied to the chassis.

use crate::{
    analysis::Analysis,
    evidence::{at_joint, domain_words},
    finding::{Finding, Level},
    network::Potential,
    rules::{Rule, RulePage},
    vocabulary::Reference,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/chassis-tied",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a floating voltage domain tied to the chassis",
        docs: include_str!("chassis_tied.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    for joint in analysis.facts().chassis_ties() {
        let domain = &model[joint.domain.0];
        let ground = if joint.other.0 == Potential::Earth { "protective earth" } else { "the chassis" };
        let floating = if domain.reference == Reference::Floating { "floating domain" } else { "domain" };
        let words = domain_words(model, domain);
        let headline = |what: &str| format!("{floating} {words} is tied to {ground} by {what}");
        findings.push(at_joint(analysis.facts(), &RULE.page, joint, headline).help(format!(
            "separate it from {ground}: both poles of `{}` stay isolated; a measuring path needs its least isolation resistance",
            model.text(domain.name)
        )));
    }
    findings
}
