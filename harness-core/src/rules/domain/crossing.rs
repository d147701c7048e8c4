//! A voltage domain of class B is joined to no other domain.

use super::{
    facts::{domain_words, is_class_b},
    joint::{at_joint, joints},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::DomainId,
    network::{Potential, potentials},
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
    let potentials = potentials(analysis.network());
    let found = joints(analysis, &potentials, |_, held| match held {
        [Potential::Domain(a), Potential::Domain(b)] => graver(analysis, a, b),
        _ => None,
    });
    let mut findings = Vec::new();
    for joint in found {
        let Potential::Domain(other) = joint.other.0 else { continue };
        let (Some(own), Some(other)) = (model.domain(joint.domain.0), model.domain(other)) else { continue };
        let words = [own, other].map(|domain| domain_words(model, domain));
        let finding =
            at_joint(analysis, &potentials, &RULE, &joint, |what| format!("{} is joined to {} by {what}", words[0], words[1]));
        let [own, other] = [own, other].map(|domain| model.text(domain.name));
        findings.push(finding.help(format!(
            "take `{own}` off `{other}` here; what must pass between them goes through an isolating converter, or correct the \
             `domain` of the pin that names the other one"
        )));
    }
    findings
}

/// Which of two domains is that of class B; the higher one if both are.
fn graver(analysis: &Analysis, a: DomainId, b: DomainId) -> Option<usize> {
    let model = analysis.model();
    match (is_class_b(model, a), is_class_b(model, b)) {
        (true, true) => Some(usize::from(model.domain(b)?.max > model.domain(a)?.max)),
        (true, false) => Some(0),
        (false, true) => Some(1),
        (false, false) => None,
    }
}
