//! What is cut off from its source does not stay charged.

use crate::{
    analysis::Analysis,
    facts::{Facts, discharges::Undischarged},
    finding::{Finding, Level, Weighed},
    quantity::{Ohm, Watt},
    rules::{Rule, RulePage},
    standards::{
        interlock::{harmless_energy, longest_wait},
        voltage::class_a_limit,
    },
    wording::list,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/no-discharge",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a capacitor of voltage class B that nothing empties once the contactors are open",
        docs: include_str!("no_discharge.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.undischarged().iter().map(|one| finding(facts, one)).collect()
}

/// Time in s in which a resistor that is there for good empties a capacitor without growing hot.
const MINUTE: f64 = 60.0;

fn finding(facts: &Facts, one: &Undischarged) -> Finding {
    let model = facts.model();
    let (charged, limit) = (&one.charged, class_a_limit(false).value);
    let name = model.element_name(charged.capacitor);
    let unmated = one.unmated.map(|opening| opening.name(facts));
    let when = match &unmated {
        Some(unmated) => format!("with `{unmated}` unmated"),
        None => "once the contactors are open".to_owned(),
    };
    let (headline, weighed) = match charged.time {
        None => (format!("nothing empties `{name}` {when}: it keeps up to {}, {}", charged.volts, one.energy), vec![]),
        Some(time) => (
            format!("`{name}` takes {time} to fall below {limit} {when}, from up to {}", charged.volts),
            vec![Weighed::larger(time), Weighed::smaller(limit)],
        ),
    };
    let weighed = [Weighed::larger(charged.volts)].into_iter().chain(weighed);
    let mut finding = RULE
        .finding(model[charged.capacitor].value_span, headline, weighed)
        .label(format!("{} at up to {} in mode `{}`", charged.farad, charged.volts, model.mode_name(charged.mode)))
        .help(format!(
            "fit a resistor across `{name}`, inside the same box, or state `discharged-in` where the box empties it by a means of its own"
        ))
        .concerns(&name);
    if let Some(time) = charged.time {
        finding.stated = Level::Warning;
        finding =
            finding.figure("people wait", format!("{}; {}", longest_wait().value, longest_wait().source)).figure("time", time);
    }
    if let Some(ohms) = charged.ohms {
        finding = finding.figure("resistance", ohms);
    }
    finding = finding.figure("harmless", format!("less than {}; {}", harmless_energy().value, harmless_energy().source));
    let seconds = charged.farad.get() * (charged.volts.get() / limit.get()).ln();
    if seconds > 0.0 {
        let ohms = Ohm::new(MINUTE / seconds);
        let watts = Watt::new(charged.volts.get() * charged.volts.get() / ohms.get());
        finding = finding.figure("emptied in 60 s", format!("by {ohms}, which takes {watts} for good"));
    }
    if !one.drawn_by.is_empty() {
        // It draws, but it may stop at any voltage.
        if charged.time.is_none() {
            finding.stated = Level::Warning;
        }
        let names: Vec<String> = one.drawn_by.iter().map(|load| format!("`{}`", model.element_name(*load))).collect();
        finding = finding.figure("drawn by", format!("{}: down to which voltage is not given", list(&names)));
    }
    match unmated {
        Some(unmated) => finding.concerns(unmated),
        None => finding,
    }
}
