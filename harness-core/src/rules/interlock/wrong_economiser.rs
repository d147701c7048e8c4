//! A coil that is wound for an economiser has one, and no coil has two.

use crate::{
    analysis::Analysis,
    facts::{Facts, economisers::WrongEconomiser},
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    vocabulary::Economiser,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/wrong-economiser",
        level: Level::Error,
        since: "0.1.0",
        finds: "the coil of a contactor that needs an economiser and has none, or that has two",
        docs: include_str!("wrong_economiser.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.wrong_economisers().iter().map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &WrongEconomiser) -> Finding {
    let model = facts.model();
    let (relay, mode) = (model.element_name(one.relay), model.mode_name(one.mode));
    let place = model[one.relay].value_span;
    match (one.asks, one.output) {
        (Economiser::BuiltIn, Some(output)) => {
            let pin = model.point_name(output);
            RULE.finding(place, format!("the coil of `{relay}` has an economiser of its own, and `{pin}` reduces its current too"), [])
                .label("economiser built in")
                .context(model[output].span, "economiser of the output")
                .help(format!("drive `{relay}` from an output without an economiser, or take the contactor without one"))
                .concerns(relay)
                .concerns(pin)
        }
        _ => RULE
            .finding(
                place,
                format!("nothing reduces the current of the coil of `{relay}` once it has pulled in: {} and {} for good in `{mode}`", one.amps, one.watts),
                [Weighed::larger(one.amps), Weighed::larger(one.watts)],
            )
            .label("its economiser is external")
            .help(format!(
                "drive `{relay}` from an output with an economiser (`economiser: true` at its pin), or take the contactor with a built-in one"
            ))
            .concerns(relay),
    }
}
