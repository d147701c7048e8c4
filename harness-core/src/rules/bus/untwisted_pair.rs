//! The two lines of a bus are twisted together.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, Untwisted},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{agree, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/untwisted-pair",
        level: Level::Warning,
        since: "0.1.0",
        finds: "wires of a bus that are not twisted with its other line",
        docs: include_str!("untwisted_pair.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let loose = facts.buses().iter().filter_map(|bus| Some((bus, facts.untwisted(bus)?)));
    loose.filter(|(_, loose)| !loose.is_unstated).filter_map(|(bus, loose)| finding(facts, bus, &loose)).collect()
}

fn finding(facts: &Facts, bus: &Bus, loose: &Untwisted) -> Option<Finding> {
    let model = facts.model();
    let names: Vec<String> = loose.wires.iter().map(|wire| model.wire_name(*wire)).collect();
    let shown: Vec<String> = names.iter().map(quoted).collect();
    let wires = agree(names.len(), "wire", "wires");
    let verb = agree(names.len(), "is", "are");
    let headline =
        format!("{wires} {} of {} {verb} not twisted with the other line", list_of_first(&shown, 4, 0), bus.called(model));
    let mut finding = RULE
        .finding(model[*loose.wires.first()?].span, headline, [])
        .label("not twisted with the other line")
        .figure("longest", loose.longest)
        .help("twist both lines together: give both wires the same `twist`, or lead them in a twisted pair of a cable");
    for wire in loose.wires.iter().skip(1).take(3) {
        finding = finding.context(model[*wire].span, "nor this one");
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}
