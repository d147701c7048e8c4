//! The screen of a cable for signals is grounded at one end.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        screens::{Chain, Fault, Screen, ScreenEnd},
    },
    finding::{Finding, Level},
    network::EdgeKind,
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::screen::signal_screen,
    wording::{count, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "screen/both-ends",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a screen of a cable for signals that is grounded at two places",
        docs: include_str!("both_ends.md"),
    },
    check,
};

/// Below this nothing flows; in ampere.
const NOTHING: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let looped = facts.screen_chains().iter().filter(|chain| matches!(chain.fault, Some(Fault::BothEnds)));
    looped.filter_map(|chain| finding(facts, chain)).collect()
}

fn finding(facts: &Facts, chain: &Chain) -> Option<Finding> {
    let model = facts.model();
    let at = |index: usize, end: usize| -> Option<(&Screen, ScreenEnd)> {
        let screen = facts.screens().get(index)?;
        Some((screen, *screen.ends.get(end)?))
    };
    let places: Vec<(&Screen, ScreenEnd)> = chain.grounds.iter().filter_map(|(_, index, end)| at(*index, *end)).collect();
    let meets = |end: &ScreenEnd| facts.met_at(end.point);
    let names: Vec<String> = places.iter().map(|(_, end)| quoted(model.point_name(meets(end)))).collect();
    let ((first, one), (last, other)) = (places.first()?, places.last()?);
    let cable = model.cable_name(last.cable);
    let headline =
        format!("the screen of `{cable}` is grounded at {}: {}", count(places.len(), "place"), list_of_first(&names, 4, 0));
    let cables: Vec<String> =
        chain.screens.iter().filter_map(|index| Some(model.cable_name(facts.screens().get(*index)?.cable))).collect();
    let mut finding = RULE
        .finding(other.span, headline, [])
        .label("one ground more than it should have")
        .context(one.span, format!("the screen of `{}` is grounded here", model.cable_name(first.cable)))
        .figure("practice", signal_screen().source)
        .help(format!(
            "ground it at the device that reads the signal, and leave its other end open: take {} out of `screen` of `{cable}`",
            quoted(model.point_name(other.point))
        ));
    if let Some(length) = model[last.cable].length {
        finding = finding.figure("length", length.value);
    }
    let amps = facts.electrical().modes().flat_map(|mode| {
        let edges = facts.network().edges().filter(|(_, edge)| matches!(edge.kind, EdgeKind::Screen(id) if id == last.cable));
        edges.map(|(edge, _)| mode.amps(edge).abs())
    });
    let most = amps.fold(Ampere::ZERO, Ampere::max);
    if most.get() > NOTHING {
        finding = finding.figure("current in it", most);
    }
    Some(cables.into_iter().fold(finding, Finding::concerns))
}
