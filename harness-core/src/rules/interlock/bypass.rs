//! Nothing leads past a bridge of an interlock loop, and nothing but its own supply feeds it.

use crate::{
    analysis::Analysis,
    evidence::few_names,
    facts::{
        Facts,
        loops::{Bypass, SecondFeed},
    },
    finding::{Finding, Level},
    model::PointId,
    network::Step,
    rules::{Rule, RulePage},
    wording::agree,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/bypass",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a wire, jumper or second feed that keeps an interlock loop closed although a bridge of it is open",
        docs: include_str!("bypass.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let loops = facts.loops();
    // A connector of class B that opens nothing is `interlock/loop-misses`'s; what leads past several bridges at once is one fault.
    let is_known = |bypass: &Bypass| {
        let mut known = facts.bypassed_interlocks().iter().filter_map(|known| known.bridge);
        bypass.bridges.len() == 1 && known.any(|bridge| bypass.bridges.contains(&bridge))
    };
    let bypasses = loops.bypasses.iter().filter(|bypass| !is_known(bypass)).filter_map(|one| bypass(facts, one));
    bypasses.chain(loops.feeds.iter().filter_map(|feed| second_feed(facts, feed))).collect()
}

fn bypass(facts: &Facts, bypass: &Bypass) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let names: Vec<String> = bypass.bridges.iter().map(|bridge| model.element_name(*bridge)).collect();
    let ways = on_the_way(facts, &bypass.path);
    let by = if ways.is_empty() { "something".to_owned() } else { few_names(&ways) };
    let opens = agree(names.len(), "opens", "open");
    let finding = RULE
        .finding(
            model[*bypass.bridges.first()?].value_span,
            format!(
                "{} {opens} nothing: {by} leads past {} in the interlock loop",
                few_names(&names),
                agree(names.len(), "it", "them")
            ),
            [],
        )
        .label("opens in vain")
        .path(network.names(bypass.start, &bypass.path))
        .help(format!("take out {by}, so that the loop is closed by its bridges alone"));
    let finding =
        bypass.bridges.iter().skip(1).fold(finding, |finding, bridge| finding.context(model[*bridge].value_span, "bypassed too"));
    Some(names.into_iter().chain(ways).fold(finding, Finding::concerns))
}

fn second_feed(facts: &Facts, feed: &SecondFeed) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let names: Vec<String> = feed.bridges.iter().map(|bridge| model.element_name(*bridge)).collect();
    let [one, other] = &feed.ways;
    let (start, path) = shorter(one, other);
    let ways = on_the_way(facts, &path);
    let place = model[*feed.bridges.first()?].value_span;
    let headline = match feed.of_controller {
        Some(device) => format!(
            "the interlock loop over {} begins and ends at `{}`, and something else feeds it too",
            few_names(&names),
            model.device_name(device)
        ),
        None => format!(
            "the interlock loop stays alive with {} open: something feeds it past {}",
            few_names(&names),
            agree(names.len(), "it", "them")
        ),
    };
    let mut finding = RULE.finding(place, headline, []).label("opens in vain").path(network.names(start, &path)).help(
        "take out the feed that is none of the loop's own: a loop has one supply, at its one end, and its controller or coil at the other",
    );
    if feed.of_controller.is_some() {
        finding.stated = Level::Warning;
    }
    Some(names.into_iter().chain(ways).fold(finding, Finding::concerns))
}

/// Of the ways from two sides of a bridge to their feeds the shorter one that leads anywhere.
fn shorter(one: &(PointId, Vec<Step>), other: &(PointId, Vec<Step>)) -> (PointId, Vec<Step>) {
    let rank = |(from, steps): &(PointId, Vec<Step>)| (steps.is_empty(), steps.len(), *from);
    if rank(one) <= rank(other) { one.clone() } else { other.clone() }
}

/// Wires and elements along a way.
fn on_the_way(facts: &Facts, path: &[Step]) -> Vec<String> {
    let (model, network) = (facts.model(), facts.network());
    let name = |step: &Step| {
        let edge = &network[step.edge];
        edge.wire().map(|wire| model.wire_name(wire)).or_else(|| Some(model.element_name(edge.element()?)))
    };
    path.iter().filter_map(name).collect()
}
