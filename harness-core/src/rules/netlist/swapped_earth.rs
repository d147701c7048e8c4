//! A protective earth leads to the earth, and no live conductor is on the pin of one.

use crate::{
    analysis::Analysis,
    evidence::remedies,
    facts::{
        Facts,
        signals::Rewire,
        swapped_earths::{Misplaced, SwappedEarth},
    },
    finding::{Finding, Level},
    model::PointId,
    rules::{Rule, RulePage},
    text::Span,
    wording::list,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/swapped-earth",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a protective earth swapped with a line, a neutral or another conductor of class B at a device",
        docs: include_str!("swapped_earth.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.swapped_earths().iter().filter_map(|swapped| finding(facts, swapped)).collect()
}

fn finding(facts: &Facts, swapped: &SwappedEarth) -> Option<Finding> {
    let model = facts.model();
    let (first, rest) = swapped.pins.split_first()?;
    let name = |point: PointId| model.point_name(point);
    let each: Vec<String> =
        swapped.pins.iter().map(|pin| format!("`{}` meets `{}`", name(pin.at.point), name(pin.meets.point))).collect();
    let what = match rest {
        [other] => format!("protective earth and {} are swapped", word(other)),
        _ => "protective earth and live conductors are swapped".to_owned(),
    };
    let headline = format!("{what} at `{}`: {}", model.device_name(swapped.device), list(&each));
    let mut finding = RULE
        .finding(place(facts, first), headline, [])
        .label(format!("leads to `{}`, the earth", name(first.at.point)))
        .figure("effect", effect(first))
        .help(format!(
            "swap the wires at one of their ends, so that `{}` leads to the earth and nothing else does; prove it dead first",
            name(first.at.point)
        ));
    for pin in rest {
        finding = finding.context(place(facts, pin), format!("leads to `{}`, {}", name(pin.at.point), word(pin)));
    }
    let rewires: Vec<Rewire> = swapped.pins.iter().map(|pin| Rewire { from: pin.at.point, to: pin.belongs.point }).collect();
    finding = finding.remedy(remedies::rewired(facts, &rewires));
    Some(swapped.pins.iter().fold(finding, |finding, pin| finding.concerns(name(pin.at.point)).concerns(name(pin.meets.point))))
}

/// What a pin is for.
fn word(pin: &Misplaced) -> &'static str {
    pin.at.role.map_or("a live conductor", |role| role.word())
}

/// What comes of it, by what the earth pin gets.
fn effect(earth: &Misplaced) -> &'static str {
    use crate::vocabulary::Role;
    match earth.meets.role {
        Some(Role::Neutral) => {
            "the neutral is on the case, and the earth carries the current of the load: the case is live as soon as the neutral opens"
        }
        _ => "the case is live",
    }
}

/// Where the wire ends that leads to a pin; the pin itself where none does.
fn place(facts: &Facts, pin: &Misplaced) -> Span {
    let model = facts.model();
    facts.wire_ends().wire_at(model, pin.at.point).map_or(model[pin.at.point].span, |end| end.span)
}
