//! Modules are in the order of their numbers.

use crate::{
    analysis::Analysis,
    electrical::battery::BatteryString,
    finding::{Finding, Level},
    model::ElementId,
    rules::{Rule, RulePage},
    wording::commas,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/module-order",
        level: Level::Warning,
        since: "0.1.0",
        finds: "modules of a string that are joined in another order than their numbers say",
        docs: include_str!("module_order.md"),
    },
    check,
};

/// Fewest modules that have an order.
const FEWEST: usize = 3;

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().batteries().strings.iter().filter_map(|string| finding(analysis, string)).collect()
}

fn finding(analysis: &Analysis, string: &BatteryString) -> Option<Finding> {
    let model = analysis.model();
    let modules: Vec<ElementId> = string.modules().collect();
    let names: Vec<String> = modules.iter().map(|module| model.element_name(*module)).collect();
    let numbers = numbers(&names).filter(|numbers| numbers.len() >= FEWEST)?;
    let rises = |a: &u64, b: &u64| a < b;
    let pairs = || numbers.iter().zip(numbers.iter().skip(1));
    let rising = pairs().filter(|(a, b)| rises(a, b)).count();
    if rising == 0 || rising + 1 == numbers.len() {
        return None;
    }
    // The first that breaks the way in which most go.
    let up = rising * 2 >= numbers.len() - 1;
    let at = pairs().position(|(a, b)| rises(a, b) != up)? + 1;
    let (module, name, before) = (*modules.get(at)?, names.get(at)?, names.get(at - 1)?);
    let order: Vec<String> = numbers.iter().map(u64::to_string).collect();
    let finding = RULE
        .finding(
            model[module].value_span,
            format!("`{name}` comes after `{before}` in the string, against the order of their numbers"),
            [],
        )
        .label("not in the order of the numbers")
        .figure("order", commas(&order))
        .help("join the modules in the order of their numbers, or number them in the order in which they are joined")
        .concerns(name.clone())
        .concerns(before.clone());
    Some(finding)
}

/// The number in which names differ that are else the same; `None` where they differ in more, or twice in the same way.
fn numbers(names: &[String]) -> Option<Vec<u64>> {
    let parts: Vec<Vec<&str>> = names.iter().map(|name| split(name)).collect();
    let first = parts.first()?;
    let differing = |at: usize| parts.iter().any(|name| name.get(at) != first.get(at));
    let mut places = (0..first.len()).filter(|at| differing(*at));
    let (place, None) = (places.next()?, places.next()) else { return None };
    let numbers: Option<Vec<u64>> =
        parts.iter().map(|name| if name.len() == first.len() { name.get(place)?.parse().ok() } else { None }).collect();
    let mut sorted = numbers.clone()?;
    sorted.sort_unstable();
    sorted.dedup();
    numbers.filter(|numbers| numbers.len() == sorted.len())
}

/// A name in runs of digits and of other letters.
fn split(name: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut rest = name;
    while let Some(first) = rest.chars().next() {
        let end = rest.find(|letter: char| letter.is_ascii_digit() != first.is_ascii_digit()).unwrap_or(rest.len());
        let (part, after) = rest.split_at(end);
        parts.push(part);
        rest = after;
    }
    parts
}
