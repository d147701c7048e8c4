//! The pins that a net joins name one signal.

use crate::{
    analysis::Analysis,
    evidence::{cavity_name, instruction, meeting, remedies},
    facts::{
        Facts,
        crossed_twins::CrossedTwins,
        meetings::{Meeting, odd_pin},
        pins::PinAt,
        signals::MixedSignals,
        wrong_side::WrongSide,
    },
    finding::{Finding, Level, Remedy, RemedyKind},
    rules::{Rule, RulePage},
    wording::{count, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/signal-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a net whose pins name different signals: wires swapped or shifted",
        docs: include_str!("signal_mismatch.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mixed = facts.meetings().iter().filter_map(|meeting| match meeting {
        Meeting::Signals(mixed) => Some(mixed),
        Meeting::Roles(..) => None,
    });
    let findings = mixed.filter_map(|mixed| finding(facts, mixed));
    // Two devices of one kind whose wires are crossed are reported as such.
    let are_twins = |wrong: &WrongSide| {
        let pair = [Some(wrong.pin.device), wrong.counterpart.map(|pin| pin.device)];
        let mut twins = facts.crossed_twins().iter().flat_map(|twins| &twins.pins);
        twins.any(|[(one, _), (other, _)]| pair.contains(&Some(one.device)) && pair.contains(&Some(other.device)))
    };
    let sides = facts.wrong_sides().iter().filter(|wrong| !are_twins(wrong)).map(|wrong| side_finding(facts, wrong));
    findings.chain(sides).chain(facts.crossed_twins().iter().filter_map(|twins| twins_finding(facts, twins))).collect()
}

fn finding(facts: &Facts, mixed: &MixedSignals) -> Option<Finding> {
    let model = facts.model();
    let (odd, other) = odd_pin(facts, mixed)?;
    let (one, two) = (odd.signal_name(model), other.signal_name(model));
    let wire = |pin| facts.wire_ends().wire_at(model, pin);
    let place = wire(odd.point).or(wire(other.point)).map(|end| end.span).or(model[odd.pin].signal.map(|signal| signal.span))?;
    let names: Option<Vec<String>> =
        mixed.rewires.iter().map(|one| Some(format!("`{}`", model.wire_name(wire(one.from)?.wire)))).collect();
    let names = names.unwrap_or_default();
    let instruction = instruction(facts, &mixed.rewires);
    let (headline, label) = match (names.as_slice(), &instruction) {
        ([first, second], Some(_)) => (
            format!("wires {first} and {second} are swapped: `{one}` meets `{two}`"),
            format!("`{}`, which meets `{one}`", cavity_name(facts, odd.point)),
        ),
        ([first], Some(_)) => (
            format!("wire {first} joins `{one}` to `{two}`"),
            format!("`{}`, which meets `{one}`", cavity_name(facts, odd.point)),
        ),
        ([_, _, _, ..], Some(_)) => (
            format!("{} wires are shifted: `{one}` meets `{two}`, and so on", names.len()),
            format!("first of them; `{}` meets `{one}`", cavity_name(facts, odd.point)),
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
        Some(_) => match facts
            .plug_slips()
            .maybe_swapped_at(facts, &mixed.runs)
            .map(|plugs| plugs.map(|end| quoted(model.end_name(end))))
        {
            Some([one, other]) => format!(
                "lead each wire to the pin of its signal, or swap the plugs {one} and {other} if they are on each other's ports; or give the pins one \
                 signal name if the wiring is meant"
            ),
            None => "lead each wire to the pin of its signal; or give the pins one signal name if the wiring is meant".to_owned(),
        },
        None => "end each wire at pins of one signal, or give the pins one signal name if the wiring is meant".to_owned(),
    };
    let mut finding = RULE.finding(place, headline, []).label(label).help(help);
    finding = finding.remedy(remedies::rewired(facts, &mixed.rewires));
    for other in mixed.rewires.iter().skip(1).filter_map(|one| wire(one.from)) {
        finding = finding.context(other.span, format!("wire `{}`", model.wire_name(other.wire)));
    }
    finding = meeting(facts, finding, &mixed.nets, odd, other);
    Some(names.iter().fold(finding, |finding, name| finding.concerns(name.trim_matches('`'))))
}

/// Two devices of one kind, each with the wires of the other.
fn twins_finding(facts: &Facts, twins: &CrossedTwins) -> Option<Finding> {
    let model = facts.model();
    let [(pin, other), (its_pin, its_other)] = twins.pins.first()?;
    let (device, twin) = (model.device_name(pin.device), model.device_name(its_pin.device));
    let called = |pin: &PinAt| match facts.pins().is_of_a_kind(pin) {
        true => model.point_name(pin.point),
        false => pin.signal_name(model).to_owned(),
    };
    let (gets, its) = (called(other), called(its_other));
    let more = match twins.pins.len() - 1 {
        0 => String::new(),
        more => format!(", and so on for {}", count(more, "more pin")),
    };
    let wire = |pin: &PinAt| facts.wire_ends().wire_at(model, pin.point).map(|end| end.span);
    let mut finding = RULE
        .finding(
            wire(pin).unwrap_or(model[pin.point].span),
            format!(
                "the wires of `{device}` and `{twin}` are swapped: `{gets}` goes to `{device}` and `{its}` to `{twin}`{more}"
            ),
            [],
        )
        .label(format!("leads to `{}`", model.point_name(pin.point)))
        .help(format!("swap what leads to `{device}` and `{twin}`, or correct the names if the wiring is meant"));
    if let Some(place) = wire(its_pin) {
        finding = finding.context(place, format!("leads to `{}`", model.point_name(its_pin.point)));
    }
    let swap = (twins.pins.len() == 1).then(|| remedies::swapped(facts, pin.point, its_pin.point)).flatten();
    finding = finding.remedy(swap.map(|swap| Remedy { kind: RemedyKind::Move, ..swap }));
    Some(meeting(facts, finding, &[facts.network().net(pin.point)], pin, other))
}

/// The feeds of two devices that both get the other side's signal trade places. Whether the wires or the sides are wrong is for people
/// to say, so it is a move and not a correction.
fn feeds_swapped(facts: &Facts, wrong: &WrongSide) -> Option<Remedy> {
    let remedy = remedies::swapped(facts, wrong.pin.point, wrong.counterpart?.point)?;
    Some(Remedy { kind: RemedyKind::Move, ..remedy })
}

fn side_finding(facts: &Facts, wrong: &WrongSide) -> Finding {
    let model = facts.model();
    let device = model.device_name(wrong.pin.device);
    let side = model[wrong.pin.device].side;
    let (at, word) = (wrong.place.phrase(), wrong.place.word());
    let signal = wrong.other.signal_name(model);
    let wire = facts.wire_ends().wire_at(model, wrong.pin.point);
    let place = wire.map_or(model[wrong.pin.point].span, |end| end.span);
    let (what, help) = match wrong.counterpart.map(|pin| model.device_name(pin.device)) {
        Some(other) => (
            format!(", and `{other}` the opposite"),
            format!("swap the feeds of `{device}` and `{other}`, or correct their `side` or names"),
        ),
        None => (String::new(), format!("lead the signal of the {word} to `{device}`, or correct its `side`")),
    };
    let mut finding = RULE
        .finding(place, format!("`{device}` {at} gets `{signal}`{what}"), [])
        .label(format!("leads to `{}`", model.point_name(wrong.pin.point)))
        .help(help)
        .remedy(feeds_swapped(facts, wrong));
    if let Some(side) = side {
        finding = finding.context(side.span, "this side");
    }
    meeting(facts, finding, &[facts.network().net(wrong.pin.point)], &wrong.pin, &wrong.other)
}
