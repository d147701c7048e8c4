//! What charges a capacitor is done before the main contact closes.

use crate::{
    analysis::Analysis,
    facts::{Facts, precharge::Precharge},
    finding::{Finding, Level, Weighed},
    rules::{Rule, RulePage},
    standards::precharge::{Charging, precharged, too_long},
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
    // Capacitors side by side are charged as one.
    let mut groups: Vec<Vec<&Precharge>> = Vec::new();
    for one in facts.precharges().iter().filter(is_known) {
        let is_beside = |other: &Precharge| {
            (other.resistor, other.mode) == (one.resistor, one.mode)
                && (other.together.get() - one.together.get()).abs() <= ALIKE * one.together.get()
        };
        match groups.iter_mut().find(|group| group.iter().any(|other| is_beside(other))) {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    groups.iter().filter_map(|group| finding(facts, group)).collect()
}

/// Share by which sums of the same figures differ by rounding.
const ALIKE: f64 = 1e-9;

fn finding(facts: &Facts, group: &[&Precharge]) -> Option<Finding> {
    let (model, one) = (facts.model(), *group.first()?);
    let (capacitor, resistor) = (model.element_name(one.capacitor), model.element_name(one.resistor));
    let (mode, main) = (model.mode_name(one.mode), model.mode_name(one.full.1));
    let (given, charging) = (one.given(facts), one.charging());
    let (headline, weighed, level, help) = match (one.time, &given) {
        (None, _) => (
            format!("`{resistor}` charges `{capacitor}` to {} in `{mode}`, and it gets {} in `{main}`", one.reaches, one.full.0),
            vec![Weighed::smaller(one.reaches), Weighed::larger(one.full.0)],
            Level::Error,
            format!("switch off in `{mode}` what draws current behind `{resistor}`, or fit a smaller resistor"),
        ),
        (Some(time), Some((given, _))) if time > *given => {
            let reached = charging.after(*given);
            (
                format!(
                    "`{resistor}` takes {time} to charge `{capacitor}`, and the main contact closes after {given}: it comes to {reached}"
                ),
                vec![Weighed::larger(time), Weighed::smaller(*given), Weighed::smaller(reached)],
                Level::Error,
                if one.is_within {
                    "fit a smaller resistor, or let the main contact close later (`closing-delay`)".to_owned()
                } else {
                    format!("fit a smaller resistor, or let `{mode}` last longer")
                },
            )
        }
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
    for beside in group.iter().skip(1) {
        finding = finding
            .context(model[beside.capacitor].value_span, format!("{} with it", beside.farad))
            .concerns(model.element_name(beside.capacitor));
    }
    if group.len() > 1 || one.together > one.farad {
        finding = finding.figure("capacitance", format!("{} together", one.together));
    }
    for span in given.iter().flat_map(|(_, spans)| spans) {
        finding = finding.context(*span, "the main contact closes after this time");
    }
    finding = finding.figure("resistance on the way", one.ohms).figure("time constant", charging.time_constant());
    for (name, share) in [("time to 90 %", 0.9), ("time to 95 %", 0.95)] {
        if let Some(time) = charging.time_to(share * one.full.0.get() / one.reaches.get()) {
            finding = finding.figure(name, time);
        }
    }
    if let Some((given, _)) = &given {
        finding = finding
            .figure("missing as the main contact closes", one.full.0 - charging.after(*given))
            .figure("inrush as it closes", format!("{} through {}", one.inrush_after(*given), one.rest));
    }
    finding = finding
        .figure("rule", format!("at least {} before the main contact closes; {}", precharged().value, precharged().source))
        .figure("formulas", Charging::source())
        .help(help)
        .concerns(capacitor)
        .concerns(resistor);
    if let Some(main) = one.main {
        finding = finding.concerns(model.element_name(main));
    }
    finding.stated = level;
    Some(finding)
}
