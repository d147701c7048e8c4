//! With the service disconnect out no charger reaches the cells.

use crate::{
    analysis::Analysis,
    facts::{Facts, past_disconnects::PastDisconnect},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/past-disconnect",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a charger that reaches the cells of a battery of voltage class B with the service disconnect out",
        docs: include_str!("past_disconnect.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.past_disconnects().iter().map(|past| finding(facts, past)).collect()
}

fn finding(facts: &Facts, past: &PastDisconnect) -> Finding {
    let model = facts.model();
    let (charger, disconnect) = (model.element_name(past.charger), model.element_name(past.disconnect));
    RULE.finding(
        model[past.charger].value_span,
        format!("`{charger}` is joined to the cells with the service disconnect `{disconnect}` out"),
        [],
    )
    .label("its leads stay live")
    .context(model[past.disconnect].value_span, "does not open this way")
    .path(facts.network().names(past.start, &past.path))
    .help(format!("lead `{charger}` to the side of `{disconnect}` that is dead when it is out"))
    .concerns(charger)
    .concerns(disconnect)
}
