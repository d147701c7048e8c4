//! Each tap has its own wire to the cell.

use crate::{
    analysis::Analysis,
    electrical::battery::LumpId,
    facts::Tap,
    finding::{Finding, Level, Weighed},
    model::{PointId, WireId},
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
    let batteries = analysis.facts().batteries();
    let model = analysis.model();
    let taps = analysis.facts().taps().iter().enumerate().flat_map(|(group, of)| of.taps.iter().map(move |tap| (group, *tap)));
    let taps = taps.filter(|(_, tap)| tap.height.is_some());
    let mut first: FxHashMap<LumpId, (usize, Tap, Vec<WireId>)> = FxHashMap::default();
    let mut findings = Vec::new();
    for (group, tap) in taps {
        let wires = wires(analysis, tap.point);
        let lump = batteries.lump(tap.point);
        let Some((by, other, others)) = first.get(&lump) else {
            first.insert(lump, (group, tap, wires));
            continue;
        };
        // Two pins of one monitor at one cell are one tap.
        if *by == group {
            continue;
        }
        let known: FxHashSet<WireId> = others.iter().copied().collect();
        // The last one that both pass is nearest to the cell.
        let Some(shared) = wires.iter().rev().find(|wire| known.contains(wire)) else { continue };
        let (name, one, two) = (model.wire_name(*shared), model.point_name(other.point), model.point_name(tap.point));
        findings.push(
            RULE.finding(
                model[*shared].span,
                format!("wire `{name}` serves two taps: {} at `{one}` and {} at `{two}`", other.number, tap.number),
                [Weighed::neither(other.number), Weighed::neither(tap.number)],
            )
            .label("carries the balancing current of both")
            .context(other.span, "one tap")
            .context(tap.span, "the other")
            .help(format!("run a separate wire from `{two}` to the cell"))
            .concerns(name)
            .concerns(one)
            .concerns(two),
        );
    }
    findings
}

/// The wires from a pin to the nearest pole of a source.
fn wires(analysis: &Analysis, pin: PointId) -> Vec<WireId> {
    let network = analysis.network();
    let pole = |point: PointId| network.around(point).any(|(_, edge, _)| edge.role.is_source());
    let steps = network.path(pin, pole, |_, edge| edge.role.leads_to_battery()).unwrap_or_default();
    steps.iter().filter_map(|step| network[step.edge].wire()).collect()
}
