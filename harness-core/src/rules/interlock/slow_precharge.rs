//! What charges a capacitor is done before the main contact closes.

use crate::{
    analysis::Analysis,
    facts::{Facts, precharge::Precharge},
    finding::{Finding, Level, Weighed},
    quantity::{Second, Volt},
    rules::{Rule, RulePage},
    standards::precharge::{precharged, too_long},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/slow-precharge",
        level: Level::Error,
        since: "0.1.0",
        finds: "a capacitor that its precharge resistor does not bring to 90 % of its voltage, or not within the time given",
        docs: include_str!("slow_precharge.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // One that limits nothing in any mode is `interlock/no-precharge`'s.
    let is_known = |one: &&Precharge| facts.inrushes().iter().all(|inrush| inrush.capacitor != one.capacitor);
    facts.precharges().iter().filter(is_known).filter_map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &Precharge) -> Option<Finding> {
    let model = facts.model();
    let (capacitor, resistor) = (model.element_name(one.capacitor), model.element_name(one.resistor));
    let (mode, main) = (model.mode_name(one.mode), model.mode_name(one.full.1));
    let given = model[one.mode].lasts;
    let (headline, weighed, level, help) = match (one.time, given) {
        (None, _) => (
            format!("`{resistor}` charges `{capacitor}` to {} in `{mode}`, and it gets {} in `{main}`", one.reaches, one.full.0),
            vec![Weighed::smaller(one.reaches), Weighed::larger(one.full.0)],
            Level::Error,
            format!("switch off in `{mode}` what draws current behind `{resistor}`, or fit a smaller resistor"),
        ),
        (Some(time), Some(given)) if time > given.value => (
            format!(
                "`{resistor}` takes {time} to charge `{capacitor}`, and `{mode}` lasts {}: it comes to {}",
                given.value,
                reached(one, given.value)
            ),
            vec![Weighed::larger(time), Weighed::smaller(given.value), Weighed::smaller(reached(one, given.value))],
            Level::Error,
            format!("fit a smaller resistor, or let `{mode}` last longer"),
        ),
        (Some(time), None) if time > too_long().value => (
            format!("`{resistor}` takes {time} to charge `{capacitor}` in `{mode}`"),
            vec![Weighed::larger(time)],
            Level::Warning,
            format!("fit a smaller resistor, or state how long the precharge takes: `lasts` at the mode `{mode}`"),
        ),
        (Some(_), _) => return None,
    };
    let mut finding = RULE
        .finding(model[one.resistor].value_span, headline, weighed)
        .label("charges it before the main contact closes")
        .context(model[one.capacitor].value_span, format!("{} to be charged to {}", one.farad, one.full.0));
    if let Some(given) = given {
        finding = finding.context(given.span, "the main contact closes after this time");
    }
    finding = finding
        .figure("resistance on the way", one.ohms)
        .figure("rule", format!("at least {} before the main contact closes; {}", precharged().value, precharged().source))
        .help(help)
        .concerns(capacitor)
        .concerns(resistor);
    finding.stated = level;
    Some(finding)
}

/// The voltage that it comes to in a time.
fn reached(one: &Precharge, time: Second) -> Volt {
    let constant = one.ohms.get() * one.farad.get();
    one.reaches * (1.0 - (-time.get() / constant).exp())
}
