//! The pins of one network are joined.

use crate::{
    analysis::Analysis,
    facts::{Facts, buses::SplitNetwork},
    finding::{Finding, Level},
    model::PointId,
    rules::{Rule, RulePage},
    wording::{agree, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/split-network",
        level: Level::Error,
        since: "0.1.0",
        finds: "pins of one network that nothing joins",
        docs: include_str!("split_network.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.split_networks().iter().filter_map(|split| finding(facts, split)).collect()
}

fn finding(facts: &Facts, split: &SplitNetwork) -> Option<Finding> {
    let model = facts.model();
    let network = model.text(model[split.network].name);
    // The largest piece is the bus; what is elsewhere is lost.
    let (main, own) = split.pieces.iter().max_by_key(|(bus, pins)| (bus.is_some(), pins.len(), std::cmp::Reverse(**bus)))?;
    let lost: Vec<PointId> =
        split.pieces.iter().filter(|(bus, _)| *bus != main).flat_map(|(_, pins)| pins.iter().copied()).collect();
    let (first, known) = (lost.first()?, own.first()?);
    let names: Vec<String> = lost.iter().map(|point| quoted(model.point_name(*point))).collect();
    let verb = agree(lost.len(), "is", "are");
    let names = list_of_first(&names, 4, 0);
    let headline = format!("{names} of network `{network}` {verb} not joined to `{}`", model.point_name(*known));
    let finding = RULE
        .finding(model[*first].span, headline, [])
        .label("not on the bus of its network")
        .context(model[*known].span, format!("on the bus of `{network}`"))
        .help(format!("lead its wires to the bus of `{network}`, or correct its `network`"))
        .concerns(network);
    Some(lost.iter().map(|point| model.point_name(*point)).fold(finding, Finding::concerns))
}
