//! A voltage domain of class B is joined to no other domain.

use crate::{
    analysis::Analysis,
    evidence::{at_joint, domain_words},
    finding::{Finding, Level},
    network::Potential,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/crossing",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductor of voltage class B joined to another domain",
        docs: include_str!("crossing.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    for joint in analysis.facts().crossings() {
        // A crossing joins two domains.
        let Potential::Domain(other) = joint.other.0 else { continue };
        let (own, other) = (&model[joint.domain.0], &model[other]);
        let words = [own, other].map(|domain| domain_words(model, domain));
        let headline = |what: &str| format!("{} is joined to {} by {what}", words[0], words[1]);
        let [own, other] = [own, other].map(|domain| model.text(domain.name));
        findings.push(at_joint(analysis.facts(), &RULE.page, joint, headline).help(format!(
            "separate `{own}` from `{other}` here and let power pass through an isolating converter only, or correct the \
             `domain` of the pin that names the other one"
        )));
    }
    findings
}
