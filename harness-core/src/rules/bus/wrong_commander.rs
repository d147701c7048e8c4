//! A LIN bus has one commander and at most fifteen responders.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, BusNode, Lines},
    },
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    standards::bus::lin_nodes,
    vocabulary::LinNode,
    wording::{count, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/wrong-commander",
        level: Level::Error,
        since: "0.1.0",
        finds: "a LIN bus without a commander, with two, or with too many nodes",
        docs: include_str!("wrong_commander.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let single = facts.buses().iter().filter(|bus| bus.lines == Lines::Single);
    single.flat_map(|bus| commanders(facts, bus).into_iter().chain(crowd(facts, bus))).collect()
}

fn commanders(facts: &Facts, bus: &Bus) -> Option<Finding> {
    let model = facts.model();
    let is = |node: &&BusNode, word: LinNode| node.lin.is_some_and(|said| said.value == word);
    let masters: Vec<&BusNode> = bus.nodes.iter().filter(|node| is(node, LinNode::Commander)).collect();
    let name = |node: &&BusNode| model.device_name(node.device).to_owned();
    match masters.as_slice() {
        [one, other, ..] => {
            let names: Vec<String> = masters.iter().map(|node| quoted(name(node))).collect();
            let headline =
                format!("{} has {}: {}", bus.called(model), count(masters.len(), "commander"), list_of_first(&names, 4, 0));
            let place = |node: &BusNode| node.lin.map_or(model[node.device].span, |said| said.span);
            let finding = RULE
                .finding(place(other), headline, [])
                .label("second commander")
                .context(place(one), "first commander")
                .help("one node alone starts messages and has the pull-up: make the others responders, or give them a bus of their own");
            Some(masters.iter().map(name).fold(finding, Finding::concerns))
        }
        [] if bus.nodes.iter().all(|node| is(&node, LinNode::Responder)) => Some(
            RULE.finding(bus.span(model), format!("{} has no commander: all its nodes are responders", bus.called(model)), [])
                .label("no commander")
                .help("lead the bus to the node that commands it, or correct its `node`")
                .concerns(bus.name(model)),
        ),
        _ => None,
    }
}

fn crowd(facts: &Facts, bus: &Bus) -> Option<Finding> {
    let (model, most) = (facts.model(), lin_nodes());
    (bus.nodes.len() > most.value).then(|| {
        let headline = format!(
            "{} has {} nodes, {} more than {}",
            bus.called(model),
            bus.nodes.len(),
            bus.nodes.len() - most.value,
            most.value
        );
        RULE.finding(bus.span(model), headline, [Weighed::neither(most.value)])
            .label("too many nodes")
            .figure("limit", most.source)
            .help("divide the nodes between two buses")
            .concerns(bus.name(model))
    })
}
