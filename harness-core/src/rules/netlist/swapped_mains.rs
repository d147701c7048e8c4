//! Line stays line and neutral stays neutral, through every fuse and contact.

use crate::{
    analysis::Analysis,
    facts::mains_sides::MainsSides,
    finding::{Finding, Level},
    model::PointId,
    network::Edge,
    rules::{Rule, RulePage},
    wording::and_more,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/swapped-mains",
        level: Level::Error,
        since: "0.1.0",
        finds: "line and neutral swapped between a source of mains and a pin, with fuses or contacts between",
        docs: include_str!("swapped_mains.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().mains_sides().iter().filter_map(|sides| finding(analysis, sides)).collect()
}

fn finding(analysis: &Analysis, sides: &MainsSides) -> Option<Finding> {
    let model = analysis.model();
    let (first, pole, is, gets) = match (sides.on_neutral.first(), sides.on_line.first()) {
        (Some(first), _) => (*first, sides.poles.1, "line", "neutral"),
        (None, Some(first)) => (*first, sides.poles.0, "neutral", "line"),
        (None, None) => return None,
    };
    let source = model.element_name(sides.source);
    let more = and_more(sides.on_neutral.len() + sides.on_line.len() - 1, "pin");
    let name = model.point_name(first);
    let role = model[first].pin.and_then(|pin| model[pin].role)?;
    let mut finding = RULE
        .finding(role.span, format!("line and neutral of `{source}` are swapped at `{name}`{more}"), [])
        .label(format!("{is} by its role, and the {gets} reaches it"))
        .context(model[sides.source].span, "gives line and neutral")
        .help("swap the line and neutral wires at the point of the path shown where they first change sides");
    if let Some(path) = path(analysis, pole, first) {
        finding = finding.path(path);
    }
    let pins = sides.on_neutral.iter().chain(&sides.on_line);
    Some(pins.fold(finding, |finding, pin| finding.concerns(model.point_name(*pin))))
}

/// The names on the way from a pole to a pin.
fn path(analysis: &Analysis, pole: PointId, pin: PointId) -> Option<Vec<String>> {
    let network = analysis.network();
    let closed = |edge: &Edge| edge.role.conducts_when_closed();
    let steps = network.path(pole, |point| point == pin, |_, edge| closed(edge))?;
    Some(network.names(pole, &steps))
}
