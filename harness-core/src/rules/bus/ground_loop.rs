//! Nodes that have one supply need no second conductor between their grounds.

use crate::{
    analysis::Analysis,
    facts::{Facts, buses::GroundLoop},
    finding::{Finding, Level},
    quantity::{Ampere, Metre},
    rules::{Rule, RulePage},
    wording::{list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/ground-loop",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a reference conductor of a bus between nodes that have a ground in common already",
        docs: include_str!("ground_loop.md"),
    },
    check,
};

/// Below this nothing flows; in ampere.
const NOTHING: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.ground_loops().iter().filter_map(|found| finding(facts, found)).collect()
}

fn finding(facts: &Facts, found: &GroundLoop) -> Option<Finding> {
    let model = facts.model();
    let bus = facts.buses().get(found.bus)?;
    let [one, other] = found.reference.map(|point| model.point_name(point));
    let [first, second] = found.returns;
    let headline = format!(
        "`{one}` and `{other}` join the grounds of two nodes of {}, which the returns of their supply join already",
        bus.called(model)
    );
    let names: Vec<String> = found.wires.iter().map(|wire| model.wire_name(*wire)).collect();
    let shown: Vec<String> = names.iter().map(quoted).collect();
    let wire = found.wires.first()?;
    let mut finding = RULE
        .finding(model[*wire].span, headline, [])
        .label("carries a share of their return currents")
        .context(
            model[first].span,
            format!("the return of `{}`", model.device_at(first).map_or("", |device| model.device_name(device))),
        )
        .context(
            model[second].span,
            format!("the return of `{}`", model.device_at(second).map_or("", |device| model.device_name(device))),
        )
        .help(format!(
            "take {} out, or write by `isolation` of each node what keeps its bus apart from its supply inside",
            list_of_first(&shown, 4, 0)
        ))
        .concerns(one)
        .concerns(other)
        .concerns(bus.name(model));
    let lengths = found.wires.iter().filter_map(|wire| Some(model[*wire].length?.value));
    finding = finding.figure("length", lengths.fold(Metre::ZERO, |sum, length| sum + length));
    let edges = || facts.network().edges().filter(|(_, edge)| edge.wire().is_some_and(|wire| found.wires.contains(&wire)));
    let amps = facts.electrical().modes().flat_map(|mode| edges().map(|(edge, _)| mode.amps(edge).abs()));
    let most = amps.fold(Ampere::ZERO, Ampere::max);
    if most.get() > NOTHING {
        finding = finding.figure("current in it", most);
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}
