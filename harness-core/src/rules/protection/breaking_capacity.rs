//! A fuse can break the largest current that a short may drive through it.

use crate::{
    analysis::Analysis,
    electrical::{
        faults::Duty,
        fuses::fuse::{breaking_capacity_of, kind_of},
    },
    evidence::{assumed_battery, other_kinds},
    finding::{Finding, Level, Weighed},
    model::FuseKind,
    quantity::Ampere,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/breaking-capacity",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a fuse in a short of more current than it can break",
        docs: include_str!("breaking_capacity.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let fuses = analysis.model().elements().filter_map(|(id, _)| analysis.electrical().faults().of_fuse(id));
    fuses.filter_map(|duty| finding(analysis, duty)).collect()
}

fn finding(analysis: &Analysis, duty: &Duty) -> Option<Finding> {
    let model = analysis.model();
    // A fuse whose kind or breaking capacity is not known is `review/missing-fact`'s to report.
    let kind = kind_of(model, duty.fuse)?;
    let capacity = breaking_capacity_of(model, kind)?;
    if duty.amps <= capacity.value {
        return None;
    }
    let name = model.element_name(duty.fuse);
    let excess = Ampere::new(duty.amps.get() - capacity.value.get());
    let (point, back) = duty.short;
    let finding = RULE
        .finding(
            model[duty.fuse].value_span,
            format!("a short drives {} through fuse `{name}`, {excess} more than it can break", duty.amps),
            [Weighed::larger(duty.amps), Weighed::larger(excess)],
        )
        .label(format!("breaks {} at most", capacity.value))
        .figure(
            "short",
            format!(
                "`{}` to `{}` in mode `{}`: {}, conductors at 20 degC, computed",
                model.point_name(point),
                model.point_name(back),
                model.mode_name(duty.mode),
                duty.amps
            ),
        )
        .figure("breaking capacity", capacity)
        .help(format!(
            "ask the maker for a type of `{name}` that breaks more than {} at the voltage of its circuit; a stronger fuse before it helps \
             only if its maker states that it opens first and how much it lets through; a fuse that can't break its current bursts or \
             keeps burning",
            duty.amps
        ))
        .concerns(name);
    let may_do = |other: &FuseKind| breaking_capacity_of(model, other).is_some_and(|other| duty.amps <= other.value);
    let stronger = other_kinds::other_fuse(analysis.facts(), duty.fuse, may_do);
    let stronger = stronger.into_iter().chain(other_kinds::fuse_types(analysis.facts(), duty.fuse));
    let finding = stronger.fold(finding, Finding::remedy);
    let finding = match assumed_battery(analysis.facts(), point, false) {
        Some(assumed) => finding.figure("battery", assumed),
        None => finding,
    };
    Some(match kind.breaking {
        Some(own) => finding.context(own.span, "the breaking capacity"),
        None => finding,
    })
}
