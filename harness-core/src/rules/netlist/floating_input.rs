//! Every input is driven or pulled to a level.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        floating_inputs::{FloatingInputs, Floats},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{agree, list, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/floating-input",
        level: Level::Error,
        since: "0.1.0",
        finds: "an input that nothing drives and nothing pulls, ever or in a mode",
        docs: include_str!("floating_input.md"),
    },
    check,
};

/// Inputs and contacts that are listed.
const SHOWN: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let certain = facts.floating_inputs().iter().filter(|floating| floating.is_certain);
    certain.filter_map(|floating| finding(facts, floating)).collect()
}

fn finding(facts: &Facts, floating: &FloatingInputs) -> Option<Finding> {
    let model = facts.model();
    let first = floating.inputs.first()?;
    let place = model[first.pin].role.map_or(model[first.point].span, |role| role.span);
    let name = model.point_name(first.point);
    let signal = first.signal_name(model);
    let signal = if signal.is_empty() { String::new() } else { format!(" for `{signal}`") };
    let others: Vec<String> = floating.inputs.iter().skip(1).map(|pin| quoted(model.point_name(pin.point))).collect();
    let between: Vec<String> = floating.between.iter().map(|element| quoted(model.element_name(*element))).collect();
    let (why, label, help) = match floating.when {
        Floats::Always => {
            let why = match (others.is_empty(), between.is_empty()) {
                (true, true) => "its wires lead to nothing else".to_owned(),
                (true, false) => format!("past {} nothing drives it", list_of_first(&between, SHOWN, 0)),
                (false, _) => {
                    let them = agree(others.len(), "an input too", "inputs too");
                    format!("it is joined to {} alone, {them}", list_of_first(&others, SHOWN, 0))
                }
            };
            let is = if others.is_empty() { "it is".to_owned() } else { format!("`{name}` or {} is", list(&others)) };
            let help = format!(
                "lead what drives `{name}` to it, an output or a contact to its supply or return; or correct `role` where {is} an output"
            );
            (why, "no output, supply, return or resistor ever reaches it", help)
        }
        Floats::In(mode) => {
            let mode = model.mode_name(mode);
            let open = if between.is_empty() { String::new() } else { format!(" past {}", list_of_first(&between, SHOWN, 0)) };
            let why = format!("in mode `{mode}` nothing drives it{open}, and the box does not pull it");
            (why, "`pull: none`, and no resistor", pulled(&name))
        }
        Floats::WhileOff => {
            let why = "what drives it does so to one side alone, and the box does not pull it".to_owned();
            (why, "`pull: none`, and no resistor", pulled(&name))
        }
    };
    let mut finding =
        RULE.finding(place, format!("input `{name}`{signal} floats: {why}"), []).label(label).help(help).concerns(name);
    if let Some(pull) = model[first.pin].pull {
        finding = finding.context(pull.span, "nothing inside holds it");
    }
    for pin in floating.inputs.iter().skip(1) {
        finding = finding.context(model[pin.point].span, "an input too").concerns(model.point_name(pin.point));
    }
    for element in floating.between.iter().take(SHOWN) {
        finding = finding.context(model[*element].value_span, "on its way").concerns(model.element_name(*element));
    }
    Some(finding)
}

fn pulled(name: &str) -> String {
    format!(
        "fit a resistor from `{name}` to its supply or return, to the side to which nothing drives it; or write `pull: up` or `down` if \
         the box has one"
    )
}
