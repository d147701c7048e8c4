//! No source gives more than the highest voltage of its domain.

use crate::{
    analysis::Analysis,
    evidence::domain_figure,
    facts::wrong_voltages::HighSource,
    finding::{Finding, Level, Weighed},
    model::Model,
    quantity::Volt,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/over-voltage",
        level: Level::Error,
        since: "0.1.0",
        finds: "a source, charger, alternator or converter that gives more than the highest voltage of its domain",
        docs: include_str!("over_voltage.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, facts) = (analysis.model(), analysis.facts());
    // A converter whose input and output are swapped is a fault of its own.
    facts.high_sources().iter().filter(|high| !facts.is_swapped(high.source)).map(|high| finding(model, high)).collect()
}

fn finding(model: &Model, high: &HighSource) -> Finding {
    let (domain, name) = (&model[high.domain], model.element_name(high.source));
    let (volts, excess, text) = (high.volts, Volt::new(high.volts.get() - domain.max.get()), model.text(domain.name));
    RULE.finding(
        model[high.source].value_span,
        format!("`{name}` gives {volts}, {excess} above the {} that `{text}` allows", domain.max),
        [Weighed::larger(volts), Weighed::larger(excess), Weighed::smaller(domain.max)],
    )
    .label(format!("gives {volts}"))
    .context(domain.span, format!("`{text}` reaches {} at most", domain.max))
    .figure("open-circuit voltage", volts)
    .figure("domain", domain_figure(model, domain))
    .help(format!(
        "set `{name}` to {} or less, or correct `max` of `{text}` once every part in it is known to withstand {volts}",
        domain.max
    ))
    .concerns(name)
}
