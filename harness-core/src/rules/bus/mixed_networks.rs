//! What one wire joins is one network.

use crate::{
    analysis::Analysis,
    facts::{Facts, buses::Bus},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/mixed-networks",
        level: Level::Error,
        since: "0.1.0",
        finds: "pins of two networks on one bus",
        docs: include_str!("mixed_networks.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.buses().iter().filter_map(|bus| finding(facts, bus)).collect()
}

fn finding(facts: &Facts, bus: &Bus) -> Option<Finding> {
    let model = facts.model();
    let [(one, pin, span), (other, second, place), ..] = bus.named.as_slice() else { return None };
    // Where the signals of its pins differ too, the wires are reported by them, with what puts them right.
    let is_reported =
        facts.mixed_signals().iter().flat_map(|mixed| &mixed.nets).any(|net| bus.first.contains(net) || bus.second.contains(net));
    if is_reported {
        return None;
    }
    let (a, b) = (model.text(model[*one].name), model.text(model[*other].name));
    let headline =
        format!("`{}` of network `{b}` is joined to `{}` of network `{a}`", model.point_name(*second), model.point_name(*pin));
    Some(
        RULE.finding(*place, headline, [])
            .label(format!("of `{b}`"))
            .context(*span, format!("of `{a}`"))
            .help(format!(
                "lead the wires of `{a}` and `{b}` to their own pins, or correct the `network` of the pin that is on the other"
            ))
            .concerns(model.point_name(*pin))
            .concerns(model.point_name(*second)),
    )
}
