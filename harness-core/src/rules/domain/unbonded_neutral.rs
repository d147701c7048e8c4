//! What makes its own mains against earth has its neutral on protective earth.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::mains_sides::MainsSides,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/unbonded-neutral",
        level: Level::Warning,
        since: "0.1.0",
        finds: "an inverter whose mains is stated as against earth, and whose neutral nothing joins to protective earth",
        docs: include_str!("unbonded_neutral.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let sides = analysis.facts().mains_sides().iter();
    sides.filter(|sides| !sides.unbonded.is_empty()).map(|sides| finding(analysis, sides)).collect()
}

fn finding(analysis: &Analysis, sides: &MainsSides) -> Finding {
    let model = analysis.model();
    let (name, neutral) = (model.element_name(sides.source), model.point_name(sides.poles.1));
    // In every mode needs no word.
    let modes = if sides.unbonded.len() == model.modes().len() { String::new() } else { in_modes(model, &sides.unbonded) };
    RULE.finding(
        model[sides.source].value_span,
        format!("nothing joins the neutral of `{name}` to protective earth{modes}"),
        [],
    )
    .label(format!("its neutral is `{neutral}`"))
    .figure("effect", "a residual-current device behind it does not trip: a fault to a case has no way back to the source")
    .help(format!(
        "draw what joins `{neutral}` to protective earth in the box of `{name}`, a `link` or a contact that is closed while it runs, or fit \
         that; write `reference: floating` at the domain if it feeds a single appliance without earth"
    ))
    .concerns(name)
}
