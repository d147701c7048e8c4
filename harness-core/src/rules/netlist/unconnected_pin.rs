//! Every pin that needs a wire has one, and every open cavity is meant to be open.

use crate::{
    analysis::Analysis,
    evidence::moved_here,
    facts::{Facts, one_sided::OneSided},
    finding::{Finding, Level},
    model::{EndKind, Model, PointId, PointKind, PortKind},
    rules::{Rule, RulePage},
    vocabulary::Role,
    wording::{and_more, list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/unconnected-pin",
        level: Level::Error,
        since: "0.1.0",
        finds: "a device pin that needs a wire and has none, a contact without a wire",
        docs: include_str!("unconnected_pin.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let pins = facts.unconnected().iter().filter_map(|pin| open_pin(facts, *pin));
    pins.chain(empty_contacts(facts)).collect()
}

fn open_pin(facts: &Facts, id: PointId) -> Option<Finding> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let point = &model[id];
    let name = model.point_name(id);
    let signal = signal(model, id);
    let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { return None };
    let what = if matches!(point.kind, PointKind::Stud(_)) { model[port].noun() } else { "pin" };
    // What is drawn behind a terminal needs it: left open on paper, the fault would only be hidden.
    let is_needed = point.pin.is_some_and(|pin| model[pin].role.is_some_and(|role| role.value == Role::Earth))
        || model.elements().any(|(_, element)| element.points.contains(&id));
    let otherwise = if is_needed { "" } else { ", or mark the pin `need: optional` or `spare`" };
    let or_optional = if is_needed { String::new() } else { format!(", or write `need: optional` at the {what}") };
    let mate = ends.at_port(port).find(|end| matches!(model[*end].kind, EndKind::Connector(_)));
    let help = match (mate, point.kind) {
        (Some(end), _) => format!("add a wire to cavity `{}` of `{}`{otherwise}", model.text(point.label), model.end_name(end)),
        (None, PointKind::Stud(_)) => match (ends.at_port(port).next(), model[port].kind) {
            (Some(end), _) => {
                format!("add a wire to the {} `{}`{or_optional}", model[end].noun(), model.end_name(end))
            }
            (None, PortKind::Landing(_)) => {
                format!("add an end with `lands-on: {}` and lead a wire to it{or_optional}", model.port_name(port))
            }
            (None, PortKind::Body) => {
                format!("name metal that is part of this build, or add a ring that bolts to `{}`", model.port_name(port))
            }
            (None, PortKind::Stud(_) | PortKind::Connector(_)) => {
                format!("add a ring that bolts to `{}`{or_optional}", model.port_name(port))
            }
        },
        (None, _) => format!("add a loom end that mates `{}`{otherwise}", model.port_name(port)),
    };
    let headline = match &signal {
        Some(signal) => format!("{what} `{name}` for `{signal}` has no wire"),
        None => format!("{what} `{name}` has no wire"),
    };
    let finding = RULE.finding(point.span, headline, []).label(format!("nothing reaches this {what}"));
    let finding = moved_here(facts, id).into_iter().fold(finding, Finding::remedy);
    let Some(one) = facts.one_sided().iter().find(|one| one.open == id) else { return Some(finding.help(help).concerns(name)) };
    Some(one_sided(facts, finding, one).concerns(name))
}

/// A terminal without a wire where the other side of its contact has the wires of both.
fn one_sided(facts: &Facts, finding: Finding, one: &OneSided) -> Finding {
    let model = facts.model();
    let (element, other) = (model.element_name(one.element), model.point_name(one.other));
    let loads: Vec<String> = one.loads.iter().map(|load| model.element_name(*load)).collect();
    let more = and_more(loads.len().saturating_sub(1), "load");
    let before = loads.first().map_or_else(String::new, |load| format!(" before `{load}`{more}"));
    let which = loads.first().map_or_else(|| "the wire that it switches".to_owned(), |load| format!("the wire to `{load}`"));
    let effect = if facts.network()[one.edge].role.is_fuse() { "protects" } else { "switches" };
    let wires: Vec<String> = one.wires.iter().map(|wire| quoted(model.wire_name(*wire))).collect();
    let headline = format!("{}: all wires are on `{other}`, and `{element}` {effect} nothing{before}", finding.headline);
    let mut finding = Finding { headline, ..finding }
        .context(model[one.element].value_span, format!("{effect} nothing"))
        .help(format!("move {which}, one of {}, from `{other}` to `{}`", list(&wires), model.point_name(one.open)));
    for wire in &one.wires {
        finding = finding.context(model[*wire].span, format!("is on `{other}`")).concerns(model.wire_name(*wire));
    }
    loads.into_iter().fold(finding.concerns(element), Finding::concerns)
}

fn signal(model: &Model, id: PointId) -> Option<String> {
    let signal = model[model[id].pin?].signal?;
    Some(model.text(signal.value).to_owned())
}

/// Cavities with a terminal of their own and no wire; where the pin behind one was reported, that is the fault.
fn empty_contacts(facts: &Facts) -> Vec<Finding> {
    let (model, ends, reported) = (facts.model(), facts.wire_ends(), facts.unconnected());
    let mut findings = Vec::new();
    for (id, end) in model.ends() {
        for (cavity, terminal, span) in &end.terminals {
            let plugged = end.plugged.iter().any(|(at, _)| at == cavity);
            if ends.count(*cavity) > 0 || plugged || !model.is_fitted(*cavity) {
                continue;
            }
            let opposite = ends.opposite(model, *cavity);
            let settled = opposite.is_some_and(|point| {
                let spare = model[point].pin.is_some_and(|pin| model[pin].spare.is_some());
                let from_other_loom = matches!(model[point].kind, PointKind::Cavity(_));
                // A wire of the other loom that ends here is reported by `netlist/dangling-wire`.
                spare || reported.binary_search(&point).is_ok() || (from_other_loom && ends.count(point) > 0)
            });
            if settled {
                continue;
            }
            let name = model.point_name(*cavity);
            let terminal = model.text(model[*terminal].name);
            let signal = opposite.and_then(|point| signal(model, point));
            let signal = signal.map_or_else(String::new, |signal| format!(" for `{signal}`"));
            findings.push(
                RULE.finding(*span, format!("cavity `{name}`{signal} has a terminal and no wire"), [])
                    .label(format!("`{terminal}` here, with nothing in it"))
                    .help(format!(
                        "add the wire, or take the terminal out and list the cavity under `plugged` of `{}`",
                        model.end_name(id)
                    ))
                    .concerns(name),
            );
        }
    }
    findings
}
