//! In the sequence of modes the precharge comes before the main contact.

use crate::{
    analysis::Analysis,
    facts::{Facts, precharge::Precharge},
    finding::{Finding, Level, Weighed},
    model::ModeId,
    rules::{Rule, RulePage},
    standards::voltage::class_a_limit,
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/wrong-order",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a sequence of modes in which the main contact closes onto a capacitor before the precharge",
        docs: include_str!("wrong_order.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // One that limits nothing in any mode is `interlock/no-precharge`'s.
    let is_known = |one: &&Precharge| facts.inrushes().iter().all(|inrush| inrush.capacitor != one.capacitor);
    facts.precharges().iter().filter(is_known).filter_map(|one| finding(facts, one)).collect()
}

/// The first step of the sequence that closes the main contact onto a capacitor that the step before it does not leave charged.
fn first_bare(facts: &Facts, one: &Precharge) -> Option<(ModeId, Span, Option<ModeId>)> {
    let mut before: Option<ModeId> = None;
    for (mode, span) in &facts.model().sequence {
        let is_charged = before.is_some_and(|before| one.soft.contains(&before) || one.closed.contains(&before));
        if one.closed.contains(mode) && !is_charged {
            return Some((*mode, *span, before));
        }
        before = Some(*mode);
    }
    None
}

fn finding(facts: &Facts, one: &Precharge) -> Option<Finding> {
    // A mode that begins with the precharge needs no step before it.
    if one.is_within {
        return None;
    }
    let model = facts.model();
    let (mode, span, before) = first_bare(facts, one)?;
    let (capacitor, resistor) = (model.element_name(one.capacitor), model.element_name(one.resistor));
    let (name, precharge) = (model.mode_name(mode), model.mode_name(one.mode));
    let after = before
        .map_or_else(|| "at the beginning of the sequence".to_owned(), |before| format!("after `{}`", model.mode_name(before)));
    let amps = one.full.0 / one.rest;
    let main = one.main.map(|main| model.element_name(main));
    let what = main.as_ref().map_or_else(|| "the main contact".to_owned(), |main| format!("`{main}`"));
    let mut finding = RULE
        .finding(
            span,
            format!("`{name}` comes {after}: {what} closes onto the empty capacitor `{capacitor}` with {amps}, `{resistor}` charges it in `{precharge}` alone"),
            [Weighed::larger(amps)],
        )
        .label(format!("`{precharge}` does not come right before it"))
        .context(model[one.capacitor].value_span, format!("{} at {}", one.farad, one.full.0))
        .help(format!("put `{precharge}` right before `{name}` in `sequence`"))
        .concerns(capacitor)
        .concerns(resistor);
    if one.full.0 <= class_a_limit(false).value {
        finding.stated = Level::Error;
    }
    Some(match main {
        Some(main) => finding.concerns(main),
        None => finding,
    })
}
