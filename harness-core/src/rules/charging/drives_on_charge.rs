//! A vehicle does not move by its own drive while the charging plug is in, also with any one wire open.

use crate::{
    analysis::Analysis,
    evidence::inlets,
    facts::{
        Facts,
        drive_gates::{EnabledPin, OpenGate, UnsafeWires},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    standards::charging_inlet::no_movement,
    wording::{agree, list, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "charging/drives-on-charge",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a drive that can be enabled with the charging plug in, or once a single wire is open",
        docs: include_str!("drives_on_charge.md"),
    },
    check,
};

/// Most names in one sentence.
const MOST: usize = 5;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let gates = facts.drive_gates();
    let mut findings: Vec<Finding> = gates.enabled.iter().map(|pin| enabled(facts, pin)).collect();
    // A pin that enables the drive whatever is plugged in is one fault, not two.
    let known: Vec<_> = gates.enabled.iter().filter_map(|pin| facts.model().device_at(pin.point)).collect();
    findings.extend(gates.open.iter().filter(|open| !known.contains(&open.device)).map(|open| drives(facts, open)));
    findings.extend(gates.unsafe_wires.iter().filter_map(|wires| fails(facts, wires)));
    findings
}

fn enabled(facts: &Facts, pin: &EnabledPin) -> Finding {
    let model = facts.model();
    let (name, mode) = (model.point_name(pin.point), model.mode_name(pin.mode));
    RULE.finding(pin.guard.span, format!("`{name}` enables the drive in mode `{mode}`, in which the vehicle has to stay"), [])
        .label(format!("{} in `{mode}`", pin.guard.active.word()))
        .context(model[pin.mode].span, "`immobile` here")
        .figure("level", inlets::level(facts, pin.point, pin.level))
        .figure("source", no_movement())
        .help(format!("open what leads to `{name}` in `{mode}`, or let a pin with `inhibits: drive` forbid it"))
        .concerns(name)
        .concerns(mode)
}

fn drives(facts: &Facts, open: &OpenGate) -> Finding {
    let model = facts.model();
    let (device, charging, driving) =
        (model.device_name(open.device), model.mode_name(open.charging), model.mode_name(open.driving));
    let inhibits: Vec<String> = open.inhibits.iter().map(|(point, _)| quoted(model.point_name(*point))).collect();
    let why = if inhibits.is_empty() {
        "nothing inhibits it".to_owned()
    } else {
        format!("{} {} not inhibit it", list(&inhibits), agree(inhibits.len(), "does", "do"))
    };
    let place = open.enables.first().or(open.inhibits.first()).map_or(model[open.device].span, |(point, _)| model[*point].span);
    let mut finding = RULE
        .finding(place, format!("`{device}` can drive with the plug in: {why}"), [])
        .label(format!("with the controls as in `{driving}` and the plug in as in `{charging}`"))
        .figure("source", no_movement())
        .help(format!(
            "let the plug forbid the drive: lead the proximity contact, or a contact that the plug moves, to a pin of `{device}` or of its controller with \
             `inhibits: drive`, or through a contact in the enable that opens with the plug in"
        ))
        .concerns(device);
    let levels = open.enables.iter().chain(&open.inhibits).map(|(point, level)| inlets::level(facts, *point, *level));
    for level in levels {
        finding = finding.figure("level", level);
    }
    for (point, _) in &open.inhibits {
        finding =
            finding.context(model[*point].span, "is not at its active level with the plug in").concerns(model.point_name(*point));
    }
    open.enables.iter().fold(finding, |finding, (point, _)| finding.concerns(model.point_name(*point)))
}

fn fails(facts: &Facts, open: &UnsafeWires) -> Option<Finding> {
    let model = facts.model();
    let first = *open.wires.first()?;
    let names: Vec<String> = open.wires.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
    let (device, name, wire) = (model.device_name(open.device), model.point_name(open.point), model.wire_name(first));
    let held = if open.floats { ", and nothing holds it" } else { "" };
    let does = if open.guard.permits { "enables the drive" } else { "no longer inhibits the drive" };
    let mut finding = RULE
        .finding(
            open.guard.span,
            format!("with wire `{wire}` open, `{device}` can drive with the plug in"),
            [],
        )
        .label(format!("`{name}` {does} then{held}"))
        .context(model[first].span, format!("{}: {}", agree(names.len(), "the wire", "each of these alone"), list_of_first(&names, MOST, 0)))
        .figure("level", inlets::level(facts, open.point, open.level))
        .figure("mode", model.mode_name(open.charging))
        .figure("source", no_movement())
        .help(if open.guard.permits {
            format!("hold `{name}` at its other level in its box, so that an open wire takes the enable away")
        } else {
            format!(
                "let an open wire inhibit the drive: a contact that opens with the plug in, with `{name}` held at its active level; or a second signal of \
                 the plug, such as the control pilot beside the proximity contact"
            )
        })
        .concerns(device)
        .concerns(name);
    finding.stated = Level::Error;
    Some(open.wires.iter().fold(finding, |finding, wire| finding.concerns(model.wire_name(*wire))))
}
