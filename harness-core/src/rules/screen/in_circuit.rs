//! A screen carries neither a signal nor the current of a device.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        screens::{Chain, Fault, Live, ScreenEnd},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    standards::screen::signal_screen,
    vocabulary::Role,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "screen/in-circuit",
        level: Level::Error,
        since: "0.1.0",
        finds: "a screen that is joined to a signal or supply, or is the only way back of a device",
        docs: include_str!("in_circuit.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let used = facts.screen_chains().iter().filter_map(|chain| match chain.fault {
        Some(Fault::Live(live)) => Some((chain, live)),
        _ => None,
    });
    used.filter_map(|(chain, live)| finding(facts, chain, live)).collect()
}

fn finding(facts: &Facts, chain: &Chain, live: Live) -> Option<Finding> {
    let model = facts.model();
    let screens = || chain.screens.iter().filter_map(|index| facts.screens().get(*index));
    // The end that is at the pin, else the first.
    let ends = || screens().flat_map(|screen| screen.ends.iter().map(move |end| (screen, end)));
    let net = |point| facts.network().net(point);
    let at_pin = |end: &ScreenEnd| facts.met_at(end.point) == live.pin;
    let (screen, end) = ends()
        .find(|(_, end)| at_pin(end))
        .or_else(|| ends().find(|(_, end)| net(end.point) == net(live.pin)))
        .or(ends().next())?;
    let (cable, pin) = (model.cable_name(screen.cable), model.point_name(live.pin));
    let role = model.role_at(live.pin).map_or("", Role::word);
    let (headline, label, help) = if live.is_only_way {
        (
            format!("the screen of `{cable}` is the only conductor that leads to `{pin}` ({role})"),
            "used as a conductor",
            format!("lead a core of `{cable}`, or another wire, to `{pin}`, and ground the screen at one end alone"),
        )
    } else {
        (
            format!("the screen of `{cable}` is joined to `{pin}` ({role})"),
            "not a ground",
            "join the screen to a pin for screens, a return or the chassis".to_owned(),
        )
    };
    let finding = RULE
        .finding(end.span, headline, [])
        .label(label)
        .context(model[live.pin].span, format!("`{pin}`"))
        .figure("practice", signal_screen().source)
        .help(help)
        .concerns(pin);
    Some(screens().map(|screen| model.cable_name(screen.cable)).fold(finding, Finding::concerns))
}
