//! What keeps the sides of a box apart is made for the highest voltage at them.

use crate::{
    analysis::Analysis,
    evidence::domain_figure,
    facts::isolations::WeakIsolation,
    finding::{Finding, Level, Weighed},
    model::{Model, PortId},
    rules::{Rule, RulePage},
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/weak-isolation",
        level: Level::Error,
        since: "0.1.0",
        finds: "isolation inside a box that is tested for less than the voltage at its sides",
        docs: include_str!("weak_isolation.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    analysis.facts().isolations().weak.iter().filter_map(|weak| finding(model, weak)).collect()
}

fn finding(model: &Model, weak: &WeakIsolation) -> Option<Finding> {
    let device = model.device_name(weak.device);
    let item = model[weak.device].isolation.get(weak.item)?;
    let (stated, domain) = (item.voltage?, &model[weak.domain]);
    let ports = |side: &[PortId]| list(&side.iter().map(|port| quoted(model.text(model[*port].name))).collect::<Vec<_>>());
    let headline = format!(
        "`{device}` isolates {} from {} for {}, and `{}` has {}",
        ports(&item.between),
        ports(&item.and),
        stated.value,
        model.text(domain.name),
        weak.short.needed
    );
    let mut finding = RULE
        .finding(stated.span, headline, [Weighed::smaller(stated.value), Weighed::larger(weak.short.needed)])
        .label(format!("tested for {}", stated.value))
        .context(domain.span, format!("`{}`", model.text(domain.name)))
        .figure("domain", domain_figure(model, domain))
        .figure("needed", format!("{}, {}", weak.short.needed, weak.short.of))
        .help(format!(
            "use a part that is isolated for {} at least, or correct `voltage` to the test voltage of its datasheet",
            weak.short.needed
        ))
        .concerns(device);
    if let Some(source) = weak.short.source {
        finding = finding.figure("limit", source);
    }
    Some(finding)
}
