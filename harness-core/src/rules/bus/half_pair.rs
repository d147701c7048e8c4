//! A node of a bus is on both lines of its pair.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{HalfNode, Line},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/half-pair",
        level: Level::Error,
        since: "0.1.0",
        finds: "a node that is on one line of a CAN pair alone",
        docs: include_str!("half_pair.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.half_nodes().iter().map(|half| finding(facts, half)).collect()
}

fn finding(facts: &Facts, half: &HalfNode<'_>) -> Finding {
    let model = facts.model();
    let (pin, other) = (model.point_name(half.pin), model.point_name(half.other));
    let (has, lacks) = if half.lacks == Line::Low { ("CAN high", "CAN low") } else { ("CAN low", "CAN high") };
    let called = half.bus.called(model);
    let finding = match half.unnamed {
        Some(unnamed) => {
            let unnamed = model.point_name(unnamed);
            RULE.finding(
                model[half.pin].span,
                format!("`{pin}` is {has} of {called}; `{unnamed}`, to which its {lacks} leads, has no role"),
                [],
            )
            .at_level(Level::Warning)
            .label("no role at its other line")
            .help(format!("write `role: {lacks}` with its `signal` at `{unnamed}`, or lead the wire to the pin that is {lacks}"))
            .concerns(unnamed)
        }
        None => RULE
            .finding(
                model[half.pin].span,
                format!(
                    "`{}` is on {has} of {called} at `{pin}`, and no wire leads from it to {lacks}",
                    model.device_name(half.device)
                ),
                [],
            )
            .label("hears nothing on one line alone")
            .help(format!(
                "give `{}` a pin with `role: {lacks}` and lead a wire from it to `{other}`",
                model.device_name(half.device)
            )),
    };
    finding.context(model[half.other].span, format!("{lacks} of the bus")).concerns(pin).concerns(other)
}
