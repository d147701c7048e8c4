//! A string of modules gives the voltage of its domain.

use crate::{
    analysis::Analysis,
    electrical::battery::{Batteries, BatteryString},
    evidence::string_name,
    finding::{Finding, Level, Weighed},
    model::{Domain, ElementId},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::battery::below_nominal,
    wording::agree,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/string-voltage",
        level: Level::Error,
        since: "0.1.0",
        finds: "a string of cells or modules that does not give the voltage of its domain",
        docs: include_str!("string_voltage.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let batteries = analysis.facts().batteries();
    batteries.strings.iter().filter_map(|string| finding(analysis, batteries, string)).collect()
}

fn finding(analysis: &Analysis, batteries: &Batteries, string: &BatteryString) -> Option<Finding> {
    let model = analysis.model();
    let domain = analysis.facts().string_domain(string).map(|domain| &model[domain])?;
    let volts = batteries.voltage(string);
    let tolerance = below_nominal();
    let least = Volt::new(domain.nominal.get() * (1.0 - tolerance.value.get()));
    let falls = string.banks.iter().filter(|bank| !bank.rises);
    let turned: Vec<ElementId> = falls.clone().flat_map(|bank| bank.cells.iter().map(|cell| cell.source)).collect();
    // One of many that is reversed costs little voltage: it shows by the others. Of two, only the voltage shows it.
    let is_one_of_many = falls.count() * 2 < string.banks.len() && !turned.is_empty();
    if domain.ac || domain.max.get() <= 0.0 || (volts >= least && volts <= domain.max && !is_one_of_many) {
        return None;
    }
    let at = turned.first().copied().or_else(|| string.modules().next_back())?;
    let (headline, weighed, label, help) = words(analysis, string, domain, (volts, least), &turned);
    let mut finding = RULE
        .finding(model[at].value_span, headline, weighed)
        .label(label)
        .context(domain.span, "the domain of its positive end")
        .figure("string", format!("{volts} in {} steps", string.banks.len()))
        .figure("nominal", domain.nominal)
        .figure("highest", domain.max)
        .figure("least", format!("{least}, {} below nominal; {}", tolerance.value, tolerance.source))
        .help(help);
    for module in if turned.is_empty() { string.modules().collect() } else { turned } {
        finding = finding.concerns(model.element_name(module));
    }
    Some(finding)
}

fn words(
    analysis: &Analysis,
    string: &BatteryString,
    domain: &Domain,
    (volts, least): (Volt, Volt),
    turned: &[ElementId],
) -> (String, Vec<Weighed>, &'static str, String) {
    let model = analysis.model();
    let (name, wanted) = (string_name(model, string), model.text(domain.name));
    let gives = agree(string.banks.len(), "gives", "give");
    match turned.first() {
        Some(first) => {
            let first = model.element_name(*first);
            let (more, is) = match turned.len() {
                1 => (String::new(), "is"),
                more => (format!(" and {} more", more - 1), "are"),
            };
            (
                format!(
                    "`{first}`{more} {is} the other way round from the rest of {name}: {volts} for `{wanted}` of {}",
                    domain.nominal
                ),
                vec![Weighed::smaller(volts), Weighed::neither(domain.nominal)],
                "reversed",
                format!("swap the poles of `{first}`, and measure the string before anything is connected to it"),
            )
        }
        None if volts > domain.max => (
            format!(
                "{name} {gives} {volts}, {} above the highest voltage of `{wanted}`",
                Volt::new(volts.get() - domain.max.get())
            ),
            vec![Weighed::larger(volts), Weighed::larger(Volt::new(volts.get() - domain.max.get()))],
            "the positive end",
            format!("take modules out until the string is at most {}, or correct `max` of `{wanted}`", domain.max),
        ),
        None => (
            format!(
                "{name} {gives} {volts}, {} below the least for `{wanted}` of {}",
                Volt::new(least.get() - volts.get()),
                domain.nominal
            ),
            vec![
                Weighed::smaller(volts),
                Weighed::larger(Volt::new(least.get() - volts.get())),
                Weighed::neither(domain.nominal),
            ],
            "the positive end",
            format!("add the modules that are missing, or correct `nominal` of `{wanted}`"),
        ),
    }
}
