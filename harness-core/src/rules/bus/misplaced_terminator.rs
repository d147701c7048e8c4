//! The terminators of a bus are at its two ends.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, Shape, Stub, Termination, Terminator},
    },
    finding::{Finding, Level, Weighed},
    model::Model,
    quantity::Metre,
    rules::{Rule, RulePage},
    standards::bus,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/misplaced-terminator",
        level: Level::Error,
        since: "0.1.0",
        finds: "a terminator that is not at an end of its bus: nodes are beyond it",
        docs: include_str!("misplaced_terminator.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.whole_buses().flat_map(|(bus, ends, shape)| of_bus(facts, bus, shape, ends)).collect()
}

/// One finding for each terminator that has nodes beyond it, at the furthest of them; one where both are at one place.
fn of_bus(facts: &Facts, bus: &Bus, shape: &Shape, ends: &Termination) -> Vec<Finding> {
    let Some(trunk) = shape.trunk else { return Vec::new() };
    let together = trunk.length <= Metre::ZERO;
    let mut known = Vec::new();
    let mut found = Vec::new();
    for stub in &shape.stubs {
        let Some(end) = stub.beyond.filter(|end| !known.contains(end)) else { continue };
        let Some(at) = ends.ends.get(end) else { continue };
        if let Some(finding) = finding(facts, bus, stub, at, together) {
            known.push(end);
            found.push(finding);
        }
    }
    found
}

/// What a terminator is called, and where it is.
fn called(model: &Model, end: &Terminator) -> (String, crate::text::Span) {
    match (end.parts.first(), end.device) {
        (Some(part), _) => (format!("terminator `{}`", model.element_name(*part)), model[*part].span),
        (None, Some(device)) => (format!("the terminator inside `{}`", model.device_name(device)), model[device].span),
        (None, None) => (format!("the terminator at `{}`", model.point_name(end.at)), model[end.at].span),
    }
}

fn finding(facts: &Facts, bus: &Bus, stub: &Stub, end: &Terminator, together: bool) -> Option<Finding> {
    let model = facts.model();
    let node = bus.nodes.get(stub.node)?;
    let rate = bus.network().and_then(|network| model[network].rate);
    // Without a bit rate a node just past a terminator can't be judged; that it is missing is reported.
    let reach = bus::stub(bus.protocol(model), rate?.value)?;
    if !reach.value.is_warned_of(stub.length) {
        return None;
    }
    let (what, span) = called(model, end);
    let device = model.device_name(node.device);
    let headline = if together {
        format!("both terminators of {} are at one place, and `{device}` is {} from it", bus.called(model), stub.length)
    } else {
        format!("{what} is not at an end of {}: `{device}` is {} beyond it", bus.called(model), stub.length)
    };
    let last = stub.wires.first().map_or(model[node.device].span, |wire| model[*wire].span);
    let finding = RULE
        .finding(span, headline, [Weighed::larger(stub.length)])
        .label("terminator")
        .context(last, format!("leads on to `{device}`"))
        .figure("a stub may be", format!("{}, {}", reach.value.good, reach.source))
        .help(format!("terminate the bus at `{device}`, its last node, and not here"))
        .concerns(device)
        .concerns(bus.name(model));
    Some(finding.at_level(if reach.value.is_exceeded(stub.length) || together { Level::Error } else { Level::Warning }))
}
