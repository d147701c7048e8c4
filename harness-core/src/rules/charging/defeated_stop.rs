//! An open wire ends the charge; it never keeps a stop switch from doing so.

use crate::{
    analysis::Analysis,
    evidence::inlets,
    facts::{Facts, charge_stops::ChargeStop},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    vocabulary::Active,
    wording::{agree, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/defeated-stop",
        level: Level::Error,
        since: "0.1.0",
        finds: "a circuit that stops the charge, of which one open wire leaves the charge on",
        docs: include_str!("defeated_stop.md"),
    },
    check,
};

/// Most names in one sentence.
const MOST: usize = 5;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.charge_stops().iter().filter_map(|stop| finding(facts, stop)).collect()
}

fn finding(facts: &Facts, stop: &ChargeStop) -> Option<Finding> {
    let model = facts.model();
    let first = *stop.wires.first()?;
    let names: Vec<String> = stop.wires.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
    let (name, wire) = (model.point_name(stop.point), model.wire_name(first));
    let verb = if stop.guard.permits { "enables" } else { "inhibits" };
    let level = stop.guard.active.word();
    let headline = if stop.guard.permits {
        format!("with wire `{wire}` open, `{name}` still enables the charge")
    } else {
        format!("with wire `{wire}` open, `{name}` no longer inhibits the charge")
    };
    let safe = match (stop.guard.permits, stop.guard.active) {
        (true, Active::High) | (false, Active::Low) => "down",
        (true, Active::Low) | (false, Active::High) => "up",
    };
    let held = if stop.floats { "nothing holds the pin then" } else { "the pin is held at the wrong level then" };
    let help = if stop.guard.permits {
        format!("hold `{name}` at its other level: a pull-{safe} in its box")
    } else {
        format!("use a switch that opens to stop the charge, with a pull-{safe} at `{name}`, so that an open wire stops it too")
    };
    let finding = RULE
        .finding(stop.guard.span, headline, [])
        .label(format!("{verb} the charge when {level}; {held}"))
        .context(
            model[first].span,
            format!(
                "{} of which one alone does this: {}",
                agree(names.len(), "the wire", "the wires"),
                list_of_first(&names, MOST, 0)
            ),
        )
        .figure("level", inlets::level(facts, stop.point, stop.level))
        .figure("mode", model.mode_name(stop.mode))
        .help(help)
        .concerns(name);
    Some(stop.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire))))
}
