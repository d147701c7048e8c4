//! A bus has a terminator at each of its two ends and no other.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        buses::{Bus, Lines, Termination, Terminator, TerminatorFault},
    },
    finding::{Finding, Level, Weighed},
    model::{Model, PointId},
    rules::{Rule, RulePage},
    standards::bus::{Protocol, between_lines, least_of_pair, terminator},
    text::Span,
    vocabulary,
    wording::{count, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "bus/wrong-termination",
        level: Level::Error,
        since: "0.1.0",
        finds: "a bus with too many terminators, a CAN bus with too few or with ones of another value",
        docs: include_str!("wrong_termination.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let pairs = facts.whole_buses().filter(|(bus, ..)| bus.lines == Lines::Pair && !bus.second.is_empty());
    let buses = pairs.filter_map(|(bus, ends, _)| finding(facts, bus, ends));
    let contradicted = facts.buses().iter().zip(facts.terminations()).flat_map(|(bus, ends)| contradictions(facts, bus, ends));
    buses.chain(contradicted).chain(facts.terminator_faults().iter().map(|fault| off_bus(facts, fault))).collect()
}

/// Nodes that say that no terminator is inside, and one is drawn there.
fn contradictions(facts: &Facts, bus: &Bus, ends: &Termination) -> Vec<Finding> {
    let model = facts.model();
    let denied = |device| {
        let said = bus.nodes.iter().find(|node| node.device == device)?.termination?;
        (said.value == vocabulary::Termination::Absent).then_some(said.span)
    };
    let drawn = ends.ends.iter().filter_map(|end| Some((end.parts.first()?, denied(end.device?)?)));
    drawn
        .map(|(part, span)| {
            let (name, device) = (model.element_name(*part), model.owner_name(model[*part].owner));
            RULE.finding(span, format!("`{device}` says that no terminator is inside, and `{name}` is one"), [])
                .label("`none`")
                .context(model[*part].span, "a terminator of the bus")
                .help("write `fitted: false` at the resistor if it is not there, or take `termination: none` out")
                .concerns(name)
                .at_level(Level::Warning)
        })
        .collect()
}

/// What a terminator is called, and where it is.
fn called(model: &Model, end: &Terminator) -> (String, Span) {
    match (end.parts.first(), end.device) {
        (Some(part), _) => (model.element_name(*part), model[*part].span),
        (None, Some(device)) => (model.device_name(device).to_owned(), model[device].span),
        (None, None) => (model.point_name(end.at), model[end.at].span),
    }
}

fn finding(facts: &Facts, bus: &Bus, ends: &Termination) -> Option<Finding> {
    let model = facts.model();
    let ([least, nominal, most], [low, together, high]) = (terminator().value, between_lines().value);
    let odd = ends.ends.iter().find(|end| end.ohm < least || end.ohm > most);
    let is_right = ends.ends.len() == 2 && odd.is_none() && ends.between.is_some_and(|ohm| ohm >= low && ohm <= high);
    // Nothing said at all, and a terminator that may or may not be there, are missing facts.
    let may_be_right = ends.ends.len() < 2 && !ends.unsure.is_empty();
    let is_can = bus.protocol(model) != Protocol::Pair;
    // A short RS-485 goes without, and its cable may want other values.
    let is_right = if is_can { is_right } else { ends.ends.len() <= 2 };
    if is_right || ends.is_cut || !ends.is_stated || may_be_right {
        return None;
    }
    let between = ends.between.map_or("nothing is between its lines".to_owned(), |ohm| format!("{ohm} between its lines"));
    let headline = match (odd, ends.ends.len()) {
        (Some(odd), 2) => format!("{} has a terminator of {}, `{}`: {between}", bus.called(model), odd.ohm, called(model, odd).0),
        (_, 0) => format!("{} has no terminator", bus.called(model)),
        (_, number) => format!("{} has {}: {between}", bus.called(model), count(number, "terminator")),
    };
    let wanted = if is_can {
        format!("2 of {nominal}, {low} to {high} together; {}", terminator().source)
    } else {
        format!("at most one at each end, no less than {} together; {}", least_of_pair().value, least_of_pair().source)
    };
    // Of too many the last is shown, of too few the one that is there.
    let shown = odd.or(ends.ends.last()).map(|end| called(model, end));
    let place = shown.as_ref().map_or(bus.span(model), |(_, span)| *span);
    let weighed = if headline.contains("between") { ends.between.map(|ohm| Weighed::off(ohm, ohm > together)) } else { None };
    let of_odd = odd.filter(|_| ends.ends.len() == 2).map(|odd| Weighed::off(odd.ohm, odd.ohm > nominal));
    let mut finding = RULE
        .finding(place, headline, of_odd.into_iter().chain(weighed))
        .label(if ends.ends.is_empty() { "no terminator" } else { "terminator" })
        .figure("wanted", wanted)
        .help(help(model, bus, ends, odd))
        .concerns(bus.name(model));
    for (name, span) in ends.ends.iter().map(|end| called(model, end)).filter(|(_, span)| *span != place).take(4) {
        finding = finding.context(span, "another terminator").concerns(name);
    }
    // A node that says nothing may have the one that is missing.
    let is_open = ends.ends.len() < 2 && !ends.silent.is_empty();
    Some(finding.at_level(if is_open { Level::Warning } else { Level::Error }))
}

fn help(model: &Model, bus: &Bus, ends: &Termination, odd: Option<&Terminator>) -> String {
    let [_, nominal, _] = terminator().value;
    let silent: Vec<String> =
        ends.silent.iter().filter_map(|node| bus.nodes.get(*node)).map(|node| quoted(model.device_name(node.device))).collect();
    match (odd, ends.ends.len()) {
        (Some(_), 2) => format!("fit a terminator of {nominal}"),
        (_, 0 | 1) if silent.is_empty() => format!("fit a terminator of {nominal} at each end of the bus"),
        (_, 0 | 1) => format!(
            "fit a terminator of {nominal} at each end of the bus, or write `termination: fitted` at the node that has one inside: nothing is said of {}",
            list_of_first(&silent, 4, 0)
        ),
        (_, _) => "leave one at each end of the bus and take the others out (`fitted: false`, `termination: none`)".to_owned(),
    }
}

/// A terminator that is not across the two lines of a bus.
fn off_bus(facts: &Facts, fault: &TerminatorFault) -> Finding {
    let model = facts.model();
    let [a, b] = fault.points;
    let name = model.element_name(fault.resistor);
    let on = |point: PointId| {
        let net = facts.network().net(point);
        facts.buses().iter().find(|bus| bus.first.contains(&net) || bus.second.contains(&net)).map(|bus| bus.called(model))
    };
    let where_to = match (on(a), on(b)) {
        (Some(one), Some(other)) if one == other => format!("with both ends on one line of {one}"),
        (Some(one), Some(other)) => format!("between {one} and {other}"),
        (Some(one), None) | (None, Some(one)) => format!("with one end alone on {one}"),
        (None, None) => "on no bus".to_owned(),
    };
    RULE.finding(model[fault.resistor].span, format!("terminator `{name}` is {where_to}"), [])
        .label("not across the two lines of one bus")
        .context(model[a].span, "its first point")
        .context(model[b].span, "its second point")
        .help("join it to the high and the low line of one bus")
        .concerns(name)
}
