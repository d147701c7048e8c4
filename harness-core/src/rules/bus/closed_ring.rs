//! A bus has two ends: it does not lead back to itself.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, Ring},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/closed-ring",
        level: Level::Error,
        since: "0.1.0",
        finds: "a bus whose wires lead back to where they came from",
        docs: include_str!("closed_ring.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let rings = facts.buses().iter().zip(facts.bus_shapes()).filter_map(|(bus, shape)| Some((bus, shape.ring.as_ref()?)));
    rings.map(|(bus, ring)| finding(facts, bus, ring)).collect()
}

fn finding(facts: &Facts, bus: &Bus, ring: &Ring) -> Finding {
    let model = facts.model();
    let names: Vec<String> = ring.wires.iter().map(|wire| model.wire_name(*wire)).collect();
    let wires: Vec<String> = names.iter().map(quoted).collect();
    let headline =
        format!("{} is a ring: wires {} lead back to where they began", bus.called(model), list_of_first(&wires, 4, 0));
    let mut finding = RULE.finding(model[ring.wire].span, headline, []).label("closes the ring");
    for wire in ring.wires.iter().skip(1).take(3) {
        finding = finding.context(model[*wire].span, "of the ring");
    }
    let help = format!(
        "leave one of these wires out, such as `{}`, with its partner of the other line, so that the bus has two ends",
        model.wire_name(ring.wire)
    );
    names.into_iter().fold(finding.help(help), Finding::concerns)
}
