//! A floating voltage domain is not tied to the chassis.

use super::{
    facts::{domain_words, is_class_b},
    joint::{at_joint, joints},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::DomainId,
    network::{Edge, EdgeKind, Potential, potentials},
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
    let potentials = potentials(analysis.network());
    let found = joints(analysis, &potentials, |edge, held| match held {
        [Potential::Domain(domain), ground] | [ground, Potential::Domain(domain)] if !matches!(ground, Potential::Domain(_)) => {
            keeps_off(analysis, domain, edge).then(|| usize::from(held[0] == ground))
        }
        _ => None,
    });
    let mut findings = Vec::new();
    for joint in found {
        let Some(domain) = model.domain(joint.domain.0) else { continue };
        let ground = if joint.other.0 == Potential::Earth { "protective earth" } else { "the chassis" };
        let floating = if domain.reference == Reference::Floating { "floating domain" } else { "domain" };
        let words = domain_words(model, domain);
        let finding =
            at_joint(analysis, &potentials, &RULE, &joint, |what| format!("{floating} {words} is tied to {ground} by {what}"));
        findings.push(finding.help(format!(
            "take it off {ground}: both poles of `{}` stay isolated; a measuring path needs its least isolation resistance",
            model.text(domain.name)
        )));
    }
    findings
}

/// Whether `edge` may not tie `domain` to the chassis.
fn keeps_off(analysis: &Analysis, domain: DomainId, edge: &Edge) -> bool {
    let model = analysis.model();
    match model.domain(domain).map(|domain| domain.reference) {
        Some(Reference::Floating) => true,
        Some(Reference::Earth) => {
            is_class_b(model, domain) && matches!(edge.kind, EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Joint(_))
        }
        Some(Reference::Chassis) | None => false,
    }
}
