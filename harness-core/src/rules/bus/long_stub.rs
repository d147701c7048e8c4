//! A node of a bus is near its trunk.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, Shape, Stub},
    },
    finding::{Finding, Level, Weighed},
    quantity::Metre,
    rules::{Rule, RulePage},
    standards::bus,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/long-stub",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a node that is further from the trunk of its bus than the bit rate allows",
        docs: include_str!("long_stub.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let of_bus = |bus: &Bus, shape: &Shape| {
        let single = shape.stubs.iter().filter(|stub| stub.beyond.is_none()).filter_map(|stub| single(facts, bus, stub));
        let single: Vec<Finding> = single.collect();
        let together = if single.is_empty() { together(facts, bus, shape) } else { None };
        single.into_iter().chain(together).collect::<Vec<_>>()
    };
    facts.whole_buses().flat_map(|(bus, _, shape)| of_bus(bus, shape)).collect()
}

fn single(facts: &Facts, bus: &Bus, stub: &Stub) -> Option<Finding> {
    let model = facts.model();
    let rate = bus.network().and_then(|network| model[network].rate)?;
    let reach = bus::stub(bus.protocol(model), rate.value)?;
    let node = bus.nodes.get(stub.node)?;
    let (length, limit) = (stub.length, reach.value.good);
    if !reach.value.is_warned_of(length) {
        return None;
    }
    let device = model.device_name(node.device);
    let place = stub.wires.first().map_or(model[node.device].span, |wire| model[*wire].span);
    let headline = format!(
        "`{device}` is {length} from the trunk of {}, {} more than a stub of {limit} at {}",
        bus.called(model),
        length - limit,
        rate.value
    );
    let figures = [Weighed::larger(length), Weighed::larger(length - limit), Weighed::smaller(limit)];
    let mut finding = RULE
        .finding(place, headline, figures)
        .label("stub")
        .context(rate.span, "its bit rate")
        .figure("limit", reach.source)
        .help(format!("lead the trunk past `{device}`, in and out at its plug, or place its branch nearer to it"))
        .concerns(device)
        .concerns(bus.name(model));
    if reach.value.most > limit {
        finding = finding.figure("longest printed", reach.value.most);
    }
    Some(finding.at_level(if reach.value.is_exceeded(length) { Level::Error } else { Level::Warning }))
}

fn together(facts: &Facts, bus: &Bus, shape: &Shape) -> Option<Finding> {
    let model = facts.model();
    let rate = bus.network().and_then(|network| model[network].rate)?;
    let most = bus::stubs_together(bus.protocol(model), rate.value)?;
    let sum = shape.stubs.iter().fold(Metre::ZERO, |sum, stub| sum + stub.length);
    (sum > most.value).then(|| {
        let headline = format!(
            "the stubs of {} are {sum} together, {} more than {} at {}",
            bus.called(model),
            sum - most.value,
            most.value,
            rate.value
        );
        let figures = [Weighed::larger(sum), Weighed::larger(sum - most.value), Weighed::smaller(most.value)];
        RULE.finding(bus.span(model), headline, figures)
            .label("its stubs together")
            .figure("limit", most)
            .help("lead the trunk past the nodes that are furthest from it")
            .concerns(bus.name(model))
    })
}
