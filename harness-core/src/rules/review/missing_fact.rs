//! A check that could not be made is said, never skipped in silence.
//!
//! The one rule that reports missing facts: every other that is silent for want of one relies on it. What to ask for, and when, is
//! in `facts::missing`, one file per group of questions.

use crate::{
    analysis::Analysis,
    facts::missing::{MissingFact, missing_facts},
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    wording::list,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "review/missing-fact",
        level: Level::Note,
        since: "0.1.0",
        finds: "a check that could not be made because a fact is missing",
        docs: include_str!("missing_fact.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    missing_facts(analysis.facts()).into_iter().map(finding).collect()
}

fn finding(missing: MissingFact) -> Finding {
    let MissingFact { place, unchecked, lacks, remedy, thing, taken, others } = missing;
    // What was taken in place of a fact is worse neither way.
    let taken_instead = Weighed::neither(&unchecked);
    let mut finding = RULE.finding(place, unchecked, [taken_instead]).label(lacks).help(remedy);
    if !others.is_empty() {
        let names = std::iter::once(&thing).chain(others.iter().map(|(_, name)| name));
        finding = finding.figure("concerns", list(&names.map(|name| format!("`{name}`")).collect::<Vec<_>>()));
    }
    finding = finding.concerns(thing);
    for (place, name) in others {
        finding = finding.context(place, lacks).concerns(name);
    }
    match taken {
        Some(taken) => finding.figure("taken", taken),
        None => finding,
    }
}
