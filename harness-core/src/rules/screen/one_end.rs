//! The screen of a cable of class B is grounded at both ends.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        screens::{Chain, Fault},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    standards::screen::class_b_screen,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "screen/one-end",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a screen of a cable of class B that is grounded at one end alone",
        docs: include_str!("one_end.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let open = facts.screen_chains().iter().filter(|chain| matches!(chain.fault, Some(Fault::OneEnd)));
    open.filter_map(|chain| finding(facts, chain)).collect()
}

fn finding(facts: &Facts, chain: &Chain) -> Option<Finding> {
    let model = facts.model();
    let (_, index, at) = chain.grounds.first()?;
    let screen = facts.screens().get(*index)?;
    let end = screen.ends.get(*at)?;
    let cable = model.cable_name(screen.cable);
    let meets = facts.met_at(end.point);
    let headline = format!("the screen of `{cable}`, a cable of class B, is grounded at `{}` alone", model.point_name(meets));
    let mut finding = RULE
        .finding(model[screen.cable].span, headline, [])
        .label("one end of its screen is open")
        .context(end.span, "grounded here")
        .figure("practice", class_b_screen().source)
        .help(
            "join the other end of the screen to the case there, by a ring on its earth stud or a contact for the screen, and write it as the other end \
             of `screen`",
        );
    if let Some(length) = model[screen.cable].length {
        finding = finding.figure("length", length.value);
    }
    let cables = chain.screens.iter().filter_map(|index| Some(model.cable_name(facts.screens().get(*index)?.cable)));
    Some(cables.fold(finding, Finding::concerns))
}
