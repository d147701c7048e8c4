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
    let said = |chain: &Chain| match chain.fault {
        Some(Fault::Unconnected) => finding(facts, chain),
        Some(Fault::Loose(index, at)) => loose(facts, chain, index, at),
        _ => None,
    };
    facts.screen_chains().iter().filter_map(said).collect()
}

/// An end at a ring that is bolted to nothing.
fn loose(facts: &Facts, chain: &Chain, index: usize, at: usize) -> Option<Finding> {
    let model = facts.model();
    let screen = facts.screens().get(index)?;
    let end = screen.ends.get(at)?;
    let (cable, ring) = (model.cable_name(screen.cable), model.point_name(end.point));
    let headline = format!("the screen of `{cable}` ends at ring `{ring}`, which is bolted to nothing");
    let is_class_b = screen.duty == Duty::ClassB;
    let practice = if is_class_b { class_b_screen().source } else { signal_screen().source };
    let mut finding = RULE
        .finding(end.span, headline, [])
        .label("at a loose ring")
        .context(model[end.point].span, format!("ring `{ring}` has no `bolts-to`"))
        .figure("practice", practice)
        .help(format!("bolt `{ring}` to the stud of a case or the chassis, and write it as its `bolts-to`"))
        .concerns(ring);
    for index in &chain.screens {
        finding = finding.concerns(model.cable_name(facts.screens().get(*index)?.cable));
    }
    Some(finding.at_level(if is_class_b { Level::Error } else { Level::Warning }))
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
