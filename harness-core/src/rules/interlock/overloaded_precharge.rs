//! A precharge resistor bears the energy of one charge and what runs behind it.

use crate::{
    analysis::Analysis,
    facts::{Facts, precharge::PrechargeLoad},
    finding::{Finding, Level, Weighed},
    model::{ElementKind, Resistor},
    rules::{Rule, RulePage},
    standards::precharge::Charging,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/overloaded-precharge",
        level: Level::Error,
        since: "0.1.0",
        finds: "a precharge resistor that takes more energy in one charge, or more power for good, than it is rated for",
        docs: include_str!("overloaded_precharge.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let loads = facts.precharge_loads();
    let rated = loads.iter().filter_map(|load| match &facts.model()[load.resistor].kind {
        ElementKind::Resistor(resistor) => Some((load, resistor)),
        _ => None,
    });
    rated.flat_map(|(load, resistor)| [pulse(facts, load, resistor), lasting(facts, load, resistor)]).flatten().collect()
}

/// More energy in one charge than the pulse that it is rated for.
fn pulse(facts: &Facts, load: &PrechargeLoad, resistor: &Resistor) -> Option<Finding> {
    let rated = resistor.energy.filter(|rated| load.energy > rated.value)?;
    let name = facts.model().element_name(load.resistor);
    let finding = RULE
        .finding(
            rated.span,
            format!("`{name}` takes {} in one charge, and is rated for pulses of {}", load.energy, rated.value),
            [Weighed::larger(load.energy), Weighed::smaller(rated.value)],
        )
        .label("the energy of one pulse")
        .context(resistor.ohm.span, format!("{} at first", load.power))
        .figure("formulas", Charging::source())
        .help(format!("fit a resistor for pulses of {} or more", load.energy));
    Some(finding.concerns(name))
}

/// More power for good than it is rated for.
fn lasting(facts: &Facts, load: &PrechargeLoad, resistor: &Resistor) -> Option<Finding> {
    let rated = resistor.power.filter(|rated| load.lasting > rated.value)?;
    let (model, name) = (facts.model(), facts.model().element_name(load.resistor));
    let finding = RULE
        .finding(
            rated.span,
            format!(
                "`{name}` takes {} for good in `{}`, and is rated for {}",
                load.lasting,
                model.mode_name(load.mode),
                rated.value
            ),
            [Weighed::larger(load.lasting), Weighed::smaller(rated.value)],
        )
        .label("the power that it takes for good")
        .help("switch off what draws current behind it while it charges, or fit a resistor for more power");
    Some(finding.concerns(name))
}
