//! The levels that the workshop's policy gives its rules.

use crate::{
    finding::{Finding, Judged, Remedy, RemedyKind},
    format::{clip, rules as format_rules},
    model::Model,
    rules,
    suggest::{nearest, question},
};

/// Raises levels as the workshop's policy says, and returns what is at fault with the policy. A level is never lowered: what
/// may hurt someone stays that.
pub(super) fn raise(model: &Model, findings: &mut [Judged]) -> Vec<Finding> {
    let rules = rules::pages();
    let mut wrong = Vec::new();
    for (name, level, span) in &model.policy.levels {
        let text = model.text(*name);
        let Some(rule) = rules.iter().find(|rule| rule.name == text) else {
            let finding = format_rules::UNKNOWN_NAME.finding(*span, format!("there is no rule `{}`", clip(text)));
            wrong.push(match nearest(text, rules.iter().map(|rule| rule.name)) {
                Some(near) => finding
                    .label(question(text, near))
                    .help("name a rule by its group and its fault, such as `netlist/unconnected-pin`")
                    .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{near}`")).edit(*span, near)),
                None => finding
                    .label("unknown rule")
                    .help("name a rule by its group and its fault, such as `netlist/unconnected-pin`"),
            });
            continue;
        };
        if *level < rule.level {
            wrong.push(
                format_rules::UNEXPECTED_VALUE
                    .finding(*span, format!("the level of `{text}` can't be lowered from {} to {level}", rule.level))
                    .label("lower than the default")
                    .help("take the line out; a finding that was reviewed gets a waiver with its reason"),
            );
            continue;
        }
        for finding in findings.iter_mut().filter(|finding| finding.rule == text) {
            finding.level = finding.level.max(*level);
        }
    }
    wrong
}
