//! The pins that a net joins name one signal.

use super::{
    meeting::{Meetings, told},
    names::Mixed,
    sides::{Sided, sided},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/signal-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a net whose pins name different signals: wires exchanged or shifted",
        docs: include_str!("signal_mismatch.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.shared(told).signals.clone()
}

pub(super) fn findings(analysis: &Analysis, meetings: &Meetings<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = meetings.signals.iter().filter_map(|mixed| finding(analysis, meetings, mixed)).collect();
    findings.extend(sided(analysis, meetings).iter().filter_map(|sided| side_finding(analysis, meetings, sided)));
    findings
}

fn finding(analysis: &Analysis, meetings: &Meetings<'_>, mixed: &Mixed) -> Option<Finding> {
    let model = analysis.model();
    let (odd, other) = meetings.odd(analysis, mixed)?;
    let (one, two) = (meetings.pins.signal(odd), meetings.pins.signal(other));
    let wire = |pin| meetings.wire_at(pin);
    let place = wire(odd.point).or(wire(other.point)).map(|end| end.span).or(odd.pin.signal.map(|signal| signal.span))?;
    let names: Option<Vec<String>> =
        mixed.moves.iter().map(|one| Some(format!("`{}`", model.wire_name(wire(one.from)?.wire)))).collect();
    let names = names.unwrap_or_default();
    let instruction = meetings.instruction(analysis, &mixed.moves);
    let (headline, label) = match (names.as_slice(), &instruction) {
        ([first, second], Some(_)) => (
            format!("wires {first} and {second} are exchanged: `{one}` meets `{two}`"),
            format!("`{}`, which meets `{one}`", meetings.cavity(analysis, odd.point)),
        ),
        ([first], Some(_)) => (
            format!("wire {first} joins `{one}` to `{two}`"),
            format!("`{}`, which meets `{one}`", meetings.cavity(analysis, odd.point)),
        ),
        ([_, _, _, ..], Some(_)) => (
            format!("{} wires are shifted: `{one}` meets `{two}`, and so on", names.len()),
            format!("first of them; `{}` meets `{one}`", meetings.cavity(analysis, odd.point)),
        ),
        _ => (
            format!(
                "`{}` and `{}` are joined and name `{one}` and `{two}`",
                model.point_name(odd.point),
                model.point_name(other.point)
            ),
            format!("leads to `{one}`"),
        ),
    };
    let help = match instruction {
        Some(instruction) => format!("{instruction}; or give the pins one signal name if the wiring is meant"),
        None => "end each wire at pins of one signal, or give the pins one signal name if the wiring is meant".to_owned(),
    };
    let mut finding = RULE.finding(place, headline).label(label).help(help);
    for other in mixed.moves.iter().skip(1).filter_map(|one| wire(one.from)) {
        finding = finding.context(other.span, format!("wire `{}`", model.wire_name(other.wire)));
    }
    finding = meetings.evidence(analysis, finding, &mixed.nets, (odd, other));
    Some(names.iter().fold(finding, |finding, name| finding.concerns(name.trim_matches('`'))))
}

fn side_finding(analysis: &Analysis, meetings: &Meetings<'_>, sided: &Sided<'_>) -> Option<Finding> {
    let model = analysis.model();
    let device = model.device_name(sided.pin.device);
    let side = model.device(sided.pin.device)?.side?;
    let signal = meetings.pins.signal(&sided.other);
    let place = meetings.wire_at(sided.pin.point).map(|end| end.span).or(model.point(sided.pin.point).map(|point| point.span))?;
    let other = sided.counterpart.map(|pin| format!("`{}`", model.device_name(pin.device)));
    let (what, help) = match &other {
        Some(other) => (
            format!(", and {other} the opposite"),
            format!("exchange the feeds of `{device}` and {other}, or correct their `side`"),
        ),
        None => {
            (String::new(), format!("lead the signal of the {} side to `{device}`, or correct its `side`", side.value.word()))
        }
    };
    let finding = RULE
        .finding(place, format!("`{device}` on the {} gets `{signal}`{what}", side.value.word()))
        .label(format!("leads to `{}`", model.point_name(sided.pin.point)))
        .context(side.span, "this side")
        .help(help);
    let nets = [analysis.network().net(sided.pin.point)];
    Some(meetings.evidence(analysis, finding, &nets, (&sided.pin, &sided.other)))
}
