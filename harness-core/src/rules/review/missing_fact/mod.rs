//! A check that could not be made is said, never skipped in silence.
//!
//! The one owner of missing facts: every rule that stays silent for want of one relies on this file. One file a group of
//! facts: what flows (`flow`), coils (`coils`), batteries (`batteries`), conductors (`conductors`), shorts (`faults`), what is
//! joined (`joints`) and voltages (`voltages`).

mod batteries;
mod coils;
mod conductors;
mod faults;
mod flow;
mod joints;
mod voltages;

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "review/missing-fact",
        level: Level::Note,
        since: "0.1.0",
        finds: "a check that could not be made because a fact is missing",
        docs: include_str!("../missing_fact.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let parts = [
        flow::missing,
        coils::missing,
        batteries::missing,
        conductors::missing,
        faults::missing,
        joints::missing,
        voltages::missing,
    ];
    parts.into_iter().flat_map(|part| part(analysis)).collect()
}

/// A finding about `thing`: what was not checked, what is missing, what to add.
fn note(span: Span, headline: String, lacks: &str, help: String, thing: String) -> Finding {
    RULE.finding(span, headline).label(lacks).help(help).concerns(thing)
}
