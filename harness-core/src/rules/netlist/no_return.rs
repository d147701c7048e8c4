//! What flows to a load flows back to its source.

use super::{
    ends::{and_more, in_modes},
    feeds::few,
    reach::{blame, evidence, reach},
    starved::{Cut, Starved, starved},
    views::{Part, part},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/no-return",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that is fed and whose other side never gets back to that source",
        docs: include_str!("no_return.md"),
    },
    check,
};

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let starved = analysis.shared(starved);
    starved.0.iter().filter(|starved| starved.cut == Cut::Return).filter_map(|starved| finding(analysis, starved)).collect()
}

fn finding(analysis: &Analysis, starved: &Starved) -> Option<Finding> {
    let model = analysis.model();
    let (name, item) = reach(analysis, starved)?;
    let more = and_more(starved.loads.len() - 1, "load");
    let (why, help) = blame(analysis, starved, "return");
    let headline = format!("the return of `{name}`{more} never gets back to its source{}{why}", in_modes(model, &starved.modes));
    let back = back_through(analysis, starved);
    let mut finding = RULE
        .finding(item.value_span, headline)
        .label(format!("fed, but its return ends at `{}`", model.point_name(starved.dead)))
        .help(help);
    if !back.is_empty() {
        finding = finding.figure("goes back through", few(&back));
    }
    Some(evidence(analysis, starved, finding))
}

/// The loads through which the current leaves the return that leads nowhere, in the first mode.
fn back_through(analysis: &Analysis, starved: &Starved) -> Vec<String> {
    let (model, network) = (analysis.model(), analysis.network());
    let Some(mode) = analysis.electrical().modes().find(|mode| starved.modes.first() == Some(&mode.id)) else {
        return Vec::new();
    };
    let lumps = network.components(|id, edge| part(model, edge) == Part::Conductor && mode.conducts(id));
    let dead = lumps.of(starved.dead);
    let loads = network.edges().filter_map(|(id, edge)| {
        let (element, _) = edge.element().filter(|_| matches!(part(model, edge), Part::Load | Part::Resistor))?;
        let (from, to) = if mode.amps(id).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let leaves = lumps.of(from) == dead && lumps.of(to) != dead && mode.amps(id).get().abs() > NOTHING;
        leaves.then(|| model.element_name(element))
    });
    let mut loads: Vec<String> = loads.collect();
    loads.sort();
    loads
}
