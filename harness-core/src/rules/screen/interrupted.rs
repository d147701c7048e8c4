//! A screen goes on where its cable does.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        screens::{Chain, Fault},
    },
    finding::{Finding, Level},
    model::{CableId, PointId},
    rules::{Rule, RulePage},
    standards::screen::signal_screen,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "screen/interrupted",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a screen that ends where the cores of its cable go on in another",
        docs: include_str!("interrupted.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let cut = facts.screen_chains().iter().filter_map(|chain| match chain.fault {
        Some(Fault::Interrupted { other, at }) => Some((chain, other, at)),
        _ => None,
    });
    cut.filter_map(|(chain, other, at)| finding(facts, chain, other, at)).collect()
}

fn finding(facts: &Facts, chain: &Chain, other: CableId, [own, next]: [PointId; 2]) -> Option<Finding> {
    let model = facts.model();
    let screen = facts.screens().get(*chain.screens.first()?)?;
    let (cable, known) = (model.cable_name(screen.cable), model.cable_name(other));
    let headline = format!(
        "the screen of `{cable}` is joined to no ground: at `{}` its cores go on in `{known}`, and its screen does not",
        model.point_name(own)
    );
    let place = screen.ends.first().map_or(model[screen.cable].span, |end| end.span);
    let mut finding = RULE
        .finding(place, headline, [])
        .label("screen without a ground")
        .context(model[other].span, format!("the screen of `{known}` is grounded"))
        .figure("practice", signal_screen().source)
        .help(format!(
            "lead the screen through a cavity of its own from `{}` to `{}`: write it as an end of `screen` of both cables",
            model.point_name(own),
            model.point_name(next)
        ));
    if let Some(length) = model[screen.cable].length {
        finding = finding.figure("length without a ground", length.value);
    }
    let cables = chain.screens.iter().filter_map(|index| Some(model.cable_name(facts.screens().get(*index)?.cable)));
    Some(cables.chain([known]).fold(finding, Finding::concerns))
}
