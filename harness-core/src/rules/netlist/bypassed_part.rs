//! No element has both its points on one conductor.

use crate::{
    analysis::Analysis,
    facts::{Facts, bridged::Bridged, supply_cuts::Lost},
    finding::{Finding, Level},
    model::ElementId,
    network::{Edge, EdgeRole, NetId},
    rules::{Rule, RulePage},
};
use rustc_hash::FxHashSet;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/bypassed-part",
        level: Level::Error,
        since: "0.1.0",
        finds: "a fuse, switch, contact, coil or other part with both its points on one conductor",
        docs: include_str!("bypassed_part.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, network) = (analysis.facts(), analysis.network());
    // A load without voltage, and a source that is shorted, have rules of their own.
    let bridged = facts.supply_cuts().iter().filter(|cut| cut.lost == Lost::Bridged).flat_map(|cut| cut.loads.iter().copied());
    let mut seen: FxHashSet<ElementId> = bridged.chain(facts.shorts().iter().map(|short| short.source)).collect();
    let shorted: FxHashSet<NetId> = facts.shorts().iter().flat_map(|short| short.nets(network)).collect();
    let found = network.edges().filter_map(|(_, edge)| {
        let element = edge.element().filter(|_| !edge.is_metal() && network.net(edge.a) == network.net(edge.b))?;
        // What is in a short of a source is bridged by it.
        if edge.a != edge.b && shorted.contains(&network.net(edge.a)) {
            return None;
        }
        let (what, effect) = kind(edge)?;
        seen.insert(element).then(|| finding(facts, element, edge, what, effect))
    });
    let mut found: Vec<Finding> = found.collect();
    found.extend(facts.bridged().iter().filter_map(|one| {
        let element = network[one.contact].element()?;
        let (what, _) = kind(&network[one.contact])?;
        seen.insert(element).then(|| bridged_contact(facts, element, what, one))
    }));
    found
}

/// A contact that another one, closed in every mode, bridges.
fn bridged_contact(facts: &Facts, element: ElementId, what: &str, one: &Bridged) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let on_the_way = one.steps.iter().filter_map(|step| Some((network[step.edge].role, network[step.edge].element()?)));
    let on_the_way: Vec<_> = on_the_way.filter(|(role, _)| role.is_switched() || *role == EdgeRole::Fuse).collect();
    let first = on_the_way.iter().find(|(role, _)| role.is_switched()).or(on_the_way.first());
    let by = first.map_or(element, |(_, by)| *by);
    let (name, by_name) = (model.element_name(element), model.element_name(by));
    RULE.finding(model[element].value_span, format!("{what} `{name}` switches nothing: `{by_name}` bridges it in every mode"), [])
        .label("opens in some mode, and the current goes on past it")
        .context(model[by].value_span, "closed in every mode")
        .path(network.names(network[one.contact].a, &one.steps))
        .help(format!("open or take out `{by_name}`, or give the modes in which it is closed"))
        .concerns(name)
        .concerns(by_name)
}

/// What the part is, and what it no longer does; `None` for sources, of which a short is a fault of its own.
fn kind(edge: &Edge) -> Option<(&'static str, &'static str)> {
    Some(match edge.role {
        EdgeRole::Fuse => ("fuse", "protects nothing"),
        EdgeRole::Switch { .. } => ("switch", "switches nothing"),
        EdgeRole::Disconnect => ("disconnect", "disconnects nothing"),
        EdgeRole::Interlock => ("interlock bridge", "opens nothing"),
        EdgeRole::MakeContact | EdgeRole::BreakContact => ("contact of relay", "switches nothing"),
        EdgeRole::Coil => ("coil of relay", "never pulls in"),
        EdgeRole::ConverterInput => ("input of converter", "gets no voltage"),
        EdgeRole::ConverterOutput { .. } => ("output of converter", "is shorted"),
        EdgeRole::Load => ("load", "gets no voltage"),
        EdgeRole::Resistor => ("resistor", "has no effect"),
        EdgeRole::Shunt => ("shunt", "measures nothing"),
        EdgeRole::Capacitor => ("capacitor", "has no effect"),
        EdgeRole::Diode => ("diode", "blocks nothing"),
        EdgeRole::Source { .. } | EdgeRole::Metal(_) => return None,
    })
}

fn finding(facts: &Facts, element: ElementId, edge: &Edge, what: &str, effect: &str) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let (name, [a, b]) = (model.element_name(element), [edge.a, edge.b].map(|point| model.point_name(point)));
    let finding = RULE
        .finding(model[element].value_span, format!("{what} `{name}` {effect}: one conductor joins both its sides"), [])
        .concerns(name);
    if edge.a == edge.b {
        return finding.label(format!("both its points are `{a}`")).help("name a second point, at the other side of the part");
    }
    let path = network.path(edge.a, |point| point == edge.b, |_, edge| edge.is_metal());
    let finding = finding.label(format!("`{a}` and `{b}` are on one net"));
    let finding = match path {
        Some(steps) => finding.path(network.names(edge.a, &steps)),
        None => finding,
    };
    finding.help(format!("take out the wire that joins `{a}` and `{b}`, or move it to where it is meant to go"))
}
