//! What switches an input leads to the other side than what pulls it.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        stuck_inputs::{Changer, RailSide, StuckInput},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/stuck-input",
        level: Level::Error,
        since: "0.1.0",
        finds: "an input that its switch leads to the side to which it is pulled: its level never changes",
        docs: include_str!("stuck_input.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.stuck_inputs().iter().map(|stuck| finding(facts, stuck)).collect()
}

fn finding(facts: &Facts, stuck: &StuckInput) -> Finding {
    let model = facts.model();
    let pin = &model[stuck.input.pin];
    let name = model.point_name(stuck.input.point);
    let signal = stuck.input.signal_name(model);
    let signal = if signal.is_empty() { String::new() } else { format!(" for `{signal}`") };
    let (side, other, turned) = match stuck.side {
        RailSide::Plus => ("its supply", "ground", "down"),
        RailSide::Ground => ("ground", "its supply", "up"),
    };
    let puller = match (stuck.by, pin.pull) {
        (Some(element), _) => format!("`{}`", model.element_name(element)),
        (None, Some(pull)) => format!("`pull: {}`", pull.value.word()),
        (None, None) => "its box".to_owned(),
    };
    let place = pin.pull.map(|pull| pull.span).or(pin.role.map(|role| role.span)).unwrap_or(model[stuck.input.point].span);
    let (changer, span, help) = match stuck.changer {
        Changer::Contact(contact) => {
            let contact_name = model.element_name(contact);
            let help = format!("lead `{contact_name}` to {other} instead of {side}; or use an input that is pulled {turned}");
            (contact_name, model[contact].value_span, help)
        }
        Changer::Unknown => return contradicted(facts, stuck, &name, &signal, (side, turned)),
        Changer::Output(output) => {
            let output_name = model.point_name(output);
            let help = format!("use an output for `{output_name}` that drives to {other}; or an input that is pulled {turned}");
            (output_name, model[output].span, help)
        }
    };
    let finding = RULE
        .finding(
            place,
            format!("input `{name}`{signal} never changes: {puller} holds it at {side}, and `{changer}` leads there too"),
            [],
        )
        .label(format!("at {side} for good"))
        .context(span, "changes nothing")
        .help(help)
        .concerns(name)
        .concerns(changer);
    match stuck.by {
        Some(element) => finding.context(model[element].value_span, "pulls it").concerns(model.element_name(element)),
        None => finding,
    }
}

/// An input of which the pin says one pull and the box draws the other.
fn contradicted(facts: &Facts, stuck: &StuckInput, name: &str, signal: &str, (side, turned): (&str, &str)) -> Finding {
    let model = facts.model();
    let pin = &model[stuck.input.pin];
    let place = pin.pull.map_or(model[stuck.input.point].span, |pull| pull.span);
    let by = stuck.by.map(|element| (model.element_name(element), model[element].value_span));
    let (by_name, by_span) = by.unwrap_or((String::new(), place));
    let right = if turned == "down" { "up" } else { "down" };
    RULE.finding(place, format!("input `{name}`{signal} is said to be pulled {turned}, and `{by_name}` pulls it to {side}"), [])
        .label("the other way")
        .context(by_span, format!("leads to {side}"))
        .help(format!("write `pull: {right}` if `{by_name}` is as drawn; else correct where it leads"))
        .concerns(name)
        .concerns(by_name)
        .at_level(Level::Warning)
}
