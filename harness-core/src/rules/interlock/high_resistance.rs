//! An interlock loop has no more resistance than its controller takes for closed.

use crate::{
    analysis::Analysis,
    facts::{Facts, loop_resistance::ResistiveLoop},
    finding::{Finding, Level, Weighed},
    quantity::Ohm,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/high-resistance",
        level: Level::Error,
        since: "0.1.0",
        finds: "an interlock loop with more resistance than its controller takes for closed",
        docs: include_str!("high_resistance.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.resistive_loops().iter().map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &ResistiveLoop) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let pin = model.point_name(one.pin);
    let excess = Ohm::new(one.ohms.get() - one.accepts.value.get());
    let edge = &network[one.most];
    let most = edge.wire().map(|wire| model.wire_name(wire)).or_else(|| Some(model.element_name(edge.element()?)));
    let most = most.unwrap_or_else(|| model.point_name(edge.a));
    RULE.finding(
        one.accepts.span,
        format!("the interlock loop at `{pin}` has {}, {excess} more than it takes for closed", one.ohms),
        [Weighed::larger(one.ohms), Weighed::smaller(one.accepts.value), Weighed::larger(excess)],
    )
    .label("the most that it takes for closed")
    .path(network.names(one.pin, &one.path))
    .figure("largest share", format!("{} of {}", one.most_ohms, most))
    .help(format!("reduce the resistance of `{most}`, or have the controller accept {} or more", one.ohms))
    .concerns(pin)
    .concerns(most)
}
