//! A screen is grounded somewhere.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        screens::{Chain, Duty, Fault},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    standards::screen::{class_b_screen, signal_screen},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "screen/unconnected",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a screen of a cable that no end joins to a ground",
        docs: include_str!("unconnected.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let lost = facts.screen_chains().iter().filter(|chain| matches!(chain.fault, Some(Fault::Unconnected)));
    lost.filter_map(|chain| finding(facts, chain)).collect()
}

fn finding(facts: &Facts, chain: &Chain) -> Option<Finding> {
    let model = facts.model();
    let of = || chain.screens.iter().filter_map(|index| facts.screens().get(*index));
    let first = of().next()?;
    let is_class_b = of().any(|screen| screen.duty == Duty::ClassB);
    let end = of().flat_map(|screen| &screen.ends).next();
    // Where nothing at all is said of a screen of class B, glands may ground it: that is a fact to be given.
    if is_class_b && end.is_none() {
        return None;
    }
    let cable = model.cable_name(first.cable);
    let (headline, span, label) = match end {
        Some(end) => (
            format!("the screen of `{cable}` ends at `{}`, and nothing joins it to a ground", model.point_name(end.point)),
            end.span,
            "leads to no ground",
        ),
        None => (format!("the screen of `{cable}` is joined to nothing at either end"), model[first.cable].span, "no `screen`"),
    };
    let practice = if is_class_b { class_b_screen().source } else { signal_screen().source };
    let mut finding = RULE.finding(span, headline, []).label(label).figure("practice", practice).help(if is_class_b {
        "join both ends of the screen to the cases there, by a ring on an earth stud or a contact for the screen"
    } else {
        "lead its drain to a ground at the device that reads the signal, and write it: `screen: { from: END.CAVITY }` of the cable"
    });
    if let Some(kind) = model[first.cable].kind {
        finding = finding.context(model[kind].screen.map_or(model[kind].span, |screen| screen.span), "the cable is screened");
    }
    if let Some(length) = model[first.cable].length {
        finding = finding.figure("length", length.value);
    }
    let finding = of().map(|screen| model.cable_name(screen.cable)).fold(finding, Finding::concerns);
    Some(finding.at_level(if is_class_b { Level::Error } else { Level::Warning }))
}
