//! A two-pole switch opens both conductors of each load behind it.

use crate::{
    analysis::Analysis,
    facts::mains_sides::HalfSwitched,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/half-switched",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load on the mains of which one conductor goes round a two-pole switch or residual-current device",
        docs: include_str!("half_switched.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let sides = analysis.facts().mains_sides().iter();
    sides.flat_map(|sides| sides.half_switched.iter().map(|one| finding(analysis, one))).collect()
}

fn finding(analysis: &Analysis, one: &HalfSwitched) -> Finding {
    let model = analysis.model();
    let [load, passed, missed] = [one.load, one.passed, one.missed].map(|element| model.element_name(element));
    let (behind, before) = if one.is_line { ("line", "neutral") } else { ("neutral", "line") };
    let at = model.point_name(one.at);
    RULE.finding(
        model[one.load].value_span,
        format!("the {behind} of `{load}` passes `{passed}`, but its {before} goes round `{missed}`"),
        [],
    )
    .label(format!("its {before} comes in at `{at}`"))
    .context(model[one.missed].value_span, format!("opens the {before} of other loads"))
    .figure(
        "effect",
        if one.is_line {
            "a residual-current device trips as soon as the load takes current"
        } else {
            "a residual-current device trips as soon as the load takes current, and a switch that is off leaves it live"
        },
    )
    .help(format!("lead the {before} of `{load}` from behind `{missed}`, where its {behind} comes from"))
    .concerns(load)
    .concerns(missed)
}
