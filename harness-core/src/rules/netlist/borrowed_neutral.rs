//! Line and neutral of a load pass the same device.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        borrowed_neutrals::{BorrowedNeutral, User},
    },
    finding::{Finding, Level},
    model::Model,
    rules::{Rule, RulePage},
    wording::{and_more, list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/borrowed-neutral",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load of the mains with its line behind a residual-current device or double pole and its neutral before it, or the other way round",
        docs: include_str!("borrowed_neutral.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.borrowed_neutrals().iter().filter_map(|borrowed| finding(facts, borrowed)).collect()
}

/// The load, or the device of a socket.
fn user_name(model: &Model, user: &User) -> String {
    let device =
        || model.device_at(user.line).map_or_else(|| model.point_name(user.line), |device| model.device_name(device).to_owned());
    user.load.map_or_else(device, |load| model.element_name(load))
}

fn finding(facts: &Facts, borrowed: &BorrowedNeutral) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let first = borrowed.users.first()?;
    let (name, more) = (user_name(model, first), and_more(borrowed.users.len() - 1, "load"));
    let poles: Vec<String> = borrowed.poles.iter().map(|pole| model.element_name(*pole)).collect();
    let named = list(&poles.iter().map(quoted).collect::<Vec<_>>());
    let (line, neutral) = (model.point_name(first.line), model.point_name(first.neutral));
    let is_mixed = borrowed.path.is_empty();
    let others: Vec<String> = borrowed.others.iter().map(|pole| model.element_name(*pole)).collect();
    let other = list(&others.iter().map(quoted).collect::<Vec<_>>());
    let headline = if is_mixed {
        format!("line and neutral of `{name}`{more} pass poles that do not belong together: {named}")
    } else if !others.is_empty() {
        format!("the line of `{name}`{more} passes {named}, its neutral passes {other}")
    } else if borrowed.line_behind {
        format!("the line of `{name}`{more} passes {named}, its neutral does not")
    } else {
        format!("the neutral of `{name}`{more} passes {named}, its line does not")
    };
    let (effect, help) = match (is_mixed, borrowed.line_behind) {
        (true, _) => (
            "a residual-current device among them trips as soon as the load runs",
            format!(
                "lead `{line}` and `{neutral}` over the poles of one device, or state which poles belong together with `residual`"
            ),
        ),
        (false, true) => (
            "the current does not come back through the device",
            format!("move the neutral wire of `{neutral}` to the load side of the device that its line passes"),
        ),
        (false, false) => (
            "the device neither switches nor protects the line",
            format!("move the line wire of `{line}` to the load side of the device that its neutral passes"),
        ),
    };
    let place = first.load.map_or(model[first.line].span, |load| model[load].value_span);
    let mut finding = RULE.finding(place, headline, []).label(effect).help(help);
    if borrowed.is_residual {
        finding = finding.figure("effect", "the residual-current device trips as soon as the load runs");
    } else if !is_mixed {
        finding = finding
            .figure("effect", "a residual-current device trips as soon as the load runs; a plain switch leaves one side joined");
        if borrowed.line_behind && others.is_empty() {
            finding.stated = Level::Warning;
        }
    }
    for pole in borrowed.poles.iter().chain(&borrowed.others) {
        finding = finding.context(model[*pole].value_span, "a pole");
    }
    if let Some(start) = (!is_mixed).then_some(if borrowed.line_behind { first.neutral } else { first.line }) {
        finding = finding.path(network.names(start, &borrowed.path));
    }
    let finding = poles.into_iter().chain(others).fold(finding, Finding::concerns);
    Some(borrowed.users.iter().fold(finding, |finding, user| finding.concerns(user_name(model, user))))
}
