//! Each tap has a wire of its own down to the cell.

use super::{
    parts::{batteries, conducts},
    taps::{Tap, groups},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{ElementKind, PointId, WireId},
    rules::{Rule, RulePage},
};
use rustc_hash::{FxHashMap, FxHashSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "battery/shared-tap",
        level: Level::Warning,
        since: "0.1.0",
        finds: "one wire that serves two taps, such as the top of one monitor and the bottom of the next",
        docs: include_str!("shared_tap.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let strings = batteries(analysis);
    let model = analysis.model();
    let groups = groups(analysis, &strings);
    let taps = groups.iter().enumerate().flat_map(|(group, of)| of.taps.iter().map(move |tap| (group, *tap)));
    let taps = taps.filter(|(_, tap)| tap.height.is_some());
    let mut first: FxHashMap<u32, (usize, Tap, Vec<WireId>)> = FxHashMap::default();
    let mut findings = Vec::new();
    for (group, tap) in taps {
        let wires = wires(analysis, tap.point);
        let lump = strings.lump(tap.point);
        let Some((by, other, others)) = first.get(&lump) else {
            first.insert(lump, (group, tap, wires));
            continue;
        };
        // Two pins of one monitor at one cell are one tap.
        if *by == group {
            continue;
        }
        let known: FxHashSet<WireId> = others.iter().copied().collect();
        // The last one that both pass lies nearest to the cell.
        let Some(shared) = wires.iter().rev().find(|wire| known.contains(wire)) else { continue };
        let Some(item) = model.wire(*shared) else { continue };
        let (name, one, two) = (model.wire_name(*shared), model.point_name(other.point), model.point_name(tap.point));
        findings.push(
            RULE.finding(
                item.span,
                format!("wire `{name}` serves two taps: {} at `{one}` and {} at `{two}`", other.number, tap.number),
            )
            .label("carries the balancing current of both")
            .context(other.span, "one tap")
            .context(tap.span, "the other")
            .help(format!("lead a wire of its own from `{two}` to the cell"))
            .concerns(name)
            .concerns(one)
            .concerns(two),
        );
    }
    findings
}

/// The wires from a pin to the nearest pole of a source.
fn wires(analysis: &Analysis, pin: PointId) -> Vec<WireId> {
    let (model, network) = (analysis.model(), analysis.network());
    let pole = |point: PointId| {
        network.around(point).any(|(_, edge, _)| {
            let element = edge.element().and_then(|(element, _)| model.element(element));
            element.is_some_and(|element| matches!(element.kind, ElementKind::Source { .. }))
        })
    };
    let steps = network.path(pin, pole, |_, edge| conducts(model, edge)).unwrap_or_default();
    steps.iter().filter_map(|step| network.edge(step.edge)?.wire()).collect()
}
