//! A bus is no longer than its bit rate allows.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, Lines, Shape},
    },
    finding::{Finding, Level, Weighed},
    quantity::Metre,
    rules::{Rule, RulePage},
    standards::bus,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/long-bus",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a bus that is longer than its bit rate allows",
        docs: include_str!("long_bus.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.whole_buses().filter_map(|(bus, _, shape)| finding(facts, bus, shape)).collect()
}

fn finding(facts: &Facts, bus: &Bus, shape: &Shape) -> Option<Finding> {
    let model = facts.model();
    if bus.lines == Lines::Single {
        let most = bus::lin_length();
        return (shape.length > most.value).then(|| {
            let headline = format!(
                "{} has {} of wire, {} more than {}",
                bus.called(model),
                shape.length,
                shape.length - most.value,
                most.value
            );
            found(facts, bus, headline, shape.length, most.value).figure("limit", most)
        });
    }
    let rate = bus.network().and_then(|network| model[network].rate)?;
    let reach = bus::trunk(bus.protocol(model), rate.value)?;
    let length = shape.trunk?.length;
    let limit = reach.value.good;
    reach.value.is_warned_of(length).then(|| {
        let headline = format!(
            "{} is {length} long between its terminators, {} more than {limit} at {}",
            bus.called(model),
            length - limit,
            rate.value
        );
        let mut finding =
            found(facts, bus, headline, length, limit).context(rate.span, "its bit rate").figure("limit", reach.source);
        if reach.value.most > limit {
            finding = finding.figure("longest printed", reach.value.most);
        }
        finding.at_level(if reach.value.is_exceeded(length) { Level::Error } else { Level::Warning })
    })
}

fn found(facts: &Facts, bus: &Bus, headline: String, length: Metre, limit: Metre) -> Finding {
    let figures = [Weighed::larger(length), Weighed::larger(length - limit), Weighed::smaller(limit)];
    RULE.finding(bus.span(facts.model()), headline, figures)
        .label("too long")
        .help("lead it a shorter way, lower its bit rate in every node, or divide it by a gateway")
        .concerns(bus.name(facts.model()))
}
