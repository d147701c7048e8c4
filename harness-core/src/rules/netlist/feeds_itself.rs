//! No converters feed each other in a ring: what they give comes from a source, and goes to loads.

use crate::{
    analysis::Analysis,
    evidence::{in_modes, round_of},
    facts::{Facts, rings::Ring},
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    wording::list,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/feeds-itself",
        level: Level::Error,
        since: "0.1.0",
        finds: "converters, chargers or inverters that feed each other in a ring, or one that feeds its own input",
        docs: include_str!("feeds_itself.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.rings().iter().filter_map(|ring| finding(facts, ring)).collect()
}

fn finding(facts: &Facts, ring: &Ring) -> Option<Finding> {
    let model = facts.model();
    let names: Vec<String> = ring.converters.iter().map(|converter| model.element_name(*converter)).collect();
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    let first = names.first()?;
    let (who, verb) = match names.as_slice() {
        [one] => (format!("`{one}` feeds its own input"), "it gives goes"),
        _ => (format!("{} feed each other in a ring", list(&quoted)), "they give goes"),
    };
    let place = model[*ring.converters.first()?].value_span;
    let help = match names.as_slice() {
        [_] => "feed it from a source that it does not feed",
        _ => "feed one of them from a source that none of them feeds, or let one of them run in other modes alone",
    };
    let finding = if let Some(most) = ring.given.iter().copied().reduce(|most, next| if next > most { next } else { most }) {
        let headline =
            format!("{who}{}: up to {most} of what {verb} round and is lost on the way", in_modes(model, &ring.turning));
        let finding = RULE.finding(place, headline, [Weighed::larger(most)]).label(round_of(&names)).help(help);
        let gives = quoted.iter().zip(&ring.given).map(|(name, amps)| format!("{name} {amps}")).collect::<Vec<_>>();
        let finding = finding.figure("given", list(&gives));
        match ring.feeder {
            Some(feeder) => finding.figure("fed by", format!("`{}`", model.element_name(feeder))),
            None => finding,
        }
    } else if !ring.alone.is_empty() {
        let headline =
            format!("{who}{}: no source is at the input of any of them, so they never start", in_modes(model, &ring.alone));
        let headline = if names.len() == 1 {
            headline.replace("of any of them, so they never start", "too, so it never starts")
        } else {
            headline
        };
        RULE.finding(place, headline, []).label(round_of(&names)).help(format!("join the input of `{first}` to a source"))
    } else {
        return None;
    };
    Some(names.into_iter().fold(finding, Finding::concerns))
}
