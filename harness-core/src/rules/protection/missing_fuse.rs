//! Nothing that takes current is fed from a source past no fuse.

use crate::{
    analysis::Analysis,
    electrical::fuses::protection::{Run, Unfused},
    finding::{Finding, Level},
    network::Edge,
    rules::{Rule, RulePage},
    wording::count,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/missing-fuse",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductor that a source feeds with no fuse between",
        docs: include_str!("missing_fuse.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let unfused = analysis.electrical().protection().unfused();
    unfused.iter().flat_map(|unfused| unfused.to_loads.iter().filter_map(|run| finding(analysis, unfused, run))).collect()
}

fn finding(analysis: &Analysis, unfused: &Unfused, run: &Run) -> Option<Finding> {
    let model = analysis.model();
    let first = *run.wires.first()?;
    let (name, fed_by, pole) = (model.wire_name(first), model.element_name(unfused.source), model.point_name(run.pole));
    let what = match run.wires.len() - 1 {
        0 => format!("wire `{name}` is"),
        more => format!("wire `{name}` and {} behind it are", count(more, "wire")),
    };
    let mut finding = RULE
        .finding(model[first].span, format!("{what} fed by `{fed_by}` with no fuse between"))
        .label("no fuse before this wire")
        .context(model[unfused.source].span, "this source feeds it")
        .help(format!("put a fuse between `{pole}` and `{name}`, as near to the source as it goes"));
    let protection = analysis.electrical().protection();
    let inside = |edge: &Edge| protection.share_cluster(edge.a, run.load) && protection.share_cluster(edge.b, run.load);
    if let Some(path) = analysis.network().path(run.pole, |point| point == run.load, |_, edge| inside(edge)) {
        finding = finding.path(analysis.network().names(run.pole, &path));
    }
    Some(run.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire))))
}
