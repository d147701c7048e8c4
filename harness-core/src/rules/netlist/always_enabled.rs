//! What the key or a control unit switches on is not fed for good.

use crate::{
    analysis::Analysis,
    facts::{Facts, always_enabled::AlwaysEnabled},
    finding::{Finding, Level},
    model::ElementKind,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/always-enabled",
        level: Level::Warning,
        since: "0.1.0",
        finds: "an input named as an ignition or enable that no switch separates from the battery, or that is live at rest",
        docs: include_str!("always_enabled.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.always_enabled().iter().map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &AlwaysEnabled) -> Finding {
    let model = facts.model();
    let name = model.point_name(one.pin);
    let signal = model[one.pin].pin.and_then(|pin| model[pin].signal);
    let of = signal.map_or_else(String::new, |signal| format!(" for `{}`", model.text(signal.value)));
    let device = model.device_at(one.pin).map(|device| model.device_name(device).to_owned()).unwrap_or_default();
    let headline = match one.at_rest {
        Some(mode) => format!("`{name}`{of} is live in `{}`, where nothing in `{device}` runs", model.mode_name(mode)),
        None => format!("`{name}`{of} is fed for good: no switch separates it from the battery"),
    };
    let runs = model
        .device_at(one.pin)
        .into_iter()
        .flat_map(|device| model.elements().filter(move |(_, element)| element.owner == crate::model::Owner::Device(device)));
    let converter = runs.into_iter().find(|(_, element)| matches!(element.kind, ElementKind::Converter { .. }));
    let mut finding = RULE
        .finding(signal.map_or(model[one.pin].span, |signal| signal.span), headline, [])
        .label("switches the box on")
        .path(one.path.clone())
        .help(format!(
            "feed `{name}` from behind the key or from the output that switches `{device}` on, or correct its `signal`"
        ));
    if let Some((converter, element)) = converter {
        finding = finding.context(element.value_span, "then runs while the vehicle is parked, and drains the battery");
        finding = finding.concerns(model.element_name(converter));
    }
    finding.concerns(name)
}
