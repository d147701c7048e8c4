//! The nodes of a bus have a ground in common.

use crate::{
    analysis::Analysis,
    facts::{Facts, buses::Unreferenced},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/no-reference",
        level: Level::Error,
        since: "0.1.0",
        finds: "a node of a bus whose supply has nothing in common with that of the others",
        docs: include_str!("no_reference.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.unreferenced().iter().filter_map(|lost| finding(facts, lost)).collect()
}

fn finding(facts: &Facts, lost: &Unreferenced) -> Option<Finding> {
    let model = facts.model();
    let bus = facts.buses().get(lost.bus)?;
    let (node, other) = (bus.nodes.get(lost.node)?, bus.nodes.get(lost.other)?);
    let (device, known) = (model.device_name(node.device), model.device_name(other.device));
    let headline = format!("`{device}` has no ground in common with `{known}`, though both are on {}", bus.called(model));
    let place = node.first.first().map_or(model[node.device].span, |point| model[*point].span);
    let measure = other.first.first().map_or(model[other.device].span, |point| model[*point].span);
    Some(
        RULE.finding(place, headline, [])
            .label(format!("nothing but the bus joins `{device}` to the others"))
            .context(measure, format!("`{known}` has the ground of the others"))
            .help(format!(
                "lead the return of the supply of `{device}` to that of `{known}`, by a conductor of its own beside the bus, or state by `isolation` what \
                 keeps its bus apart inside"
            ))
            .concerns(device)
            .concerns(bus.name(model)),
    )
}
