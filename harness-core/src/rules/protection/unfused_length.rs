//! The run from a source to its first fuse is short.

use crate::{
    analysis::Analysis,
    electrical::fuses::protection::{LeadIn, Unfused},
    finding::{Finding, Level, Weighed},
    model::{PointId, WireId},
    quantity::Metre,
    rules::{Rule, RulePage},
    standards::fuse_choice::{Lead, unfused_length},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/unfused-length",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a longer run from a source to its first fuse than the policy allows",
        docs: include_str!("unfused_length.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let unfused = analysis.electrical().protection().unfused();
    unfused.iter().flat_map(|unfused| unfused.lead_ins.iter().filter_map(|run| finding(analysis, unfused, run))).collect()
}

fn finding(analysis: &Analysis, unfused: &Unfused, run: &LeadIn) -> Option<Finding> {
    let model = analysis.model();
    let alternates = is_alternating(analysis, run.pole);
    let usual = unfused_length(if alternates { Lead::Mains } else { Lead::Bare });
    // What a workshop says of its batteries is not meant for the mains.
    let limit = model.policy.unfused_length.filter(|at| !alternates || at.value > usual.value);
    let most = limit.map_or(usual.value, |at| at.value);
    // What is near another source instead is not a fuse of this one: that is a missing fuse.
    if run.serves.is_some() {
        return None;
    }
    // A run with a wire of unknown length is `review/missing-fact`'s to report.
    let length = run.length.filter(|length| *length > most)?;
    // Wires that feed a load past no fuse are a more severe fault of their own.
    let unprotected = |wire: &WireId| unfused.to_loads.iter().any(|run| run.wires.contains(wire));
    let wire = run.wires.iter().rev().find(|wire| !unprotected(wire))?;
    let item = &model[*wire];
    let (name, fuse) = (model.wire_name(*wire), model.element_name(run.fuse));
    let excess = Metre::new(length.get() - most.get());
    let span = item.length.map_or(item.span, |at| at.span);
    let mut finding = RULE
        .finding(
            span,
            format!("{length} run from `{}` to its first fuse `{fuse}`, {excess} too long", model.point_name(run.pole)),
            [Weighed::larger(length), Weighed::larger(excess)],
        )
        .label("last wire of the run")
        .context(model[run.fuse].span, "the first fuse")
        .figure("run", length)
        .help(format!("move `{fuse}` to within {most} of `{}`, or add a fuse there", model.point_name(run.pole)))
        .concerns(name)
        .concerns(fuse);
    finding = match limit {
        Some(limit) => finding.context(limit.span, "the policy's limit").figure("limit", format!("{most} (policy)")),
        None => finding.figure("limit", format!("{most}, {}", usual.source)),
    };
    // No rule that was seen allows a battery cable to run farther than this without a fuse, even in a sheath.
    let far = unfused_length(Lead::SheathedFromBattery);
    if length > far.value.max(most) && model[unfused.source].kind.limit().is_none() && !alternates {
        finding.stated = Level::Danger;
        finding = finding.figure("danger", format!("from {} on; {}", far.value, far.source));
    }
    let mut path = vec![model.point_name(run.pole)];
    path.extend(run.wires.iter().map(|wire| format!("wire {}", model.wire_name(*wire))));
    path.push(model.element_name(run.fuse));
    Some(finding.path(path))
}

fn is_alternating(analysis: &Analysis, pole: PointId) -> bool {
    analysis.electrical().domains().of(pole).is_some_and(|domain| analysis.model()[domain].ac)
}
