//! Buses of which nobody says how they are terminated, how fast they are, how long their wires are or whether they are twisted.

use super::MissingFact;
use crate::{
    facts::{
        Facts,
        buses::{Bus, Lines, Shape, Termination},
    },
    standards::bus::Protocol,
    text::Span,
    vocabulary,
    wording::{count, list_of_first, quoted},
};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let all = facts.buses().iter().zip(facts.terminations()).zip(facts.bus_shapes());
    all.flat_map(|((bus, ends), shape)| of_bus(facts, bus, ends, shape)).collect()
}

fn of_bus(facts: &Facts, bus: &Bus, ends: &Termination, shape: &Shape) -> Vec<MissingFact> {
    // A pair that is not CAN has no table of lengths, and a short one needs no terminator.
    if bus.protocol(facts.model()) == Protocol::Pair {
        return termination(facts, bus, ends).filter(|_| ends.is_stated).into_iter().collect();
    }
    match bus.lines {
        Lines::Pair => [termination(facts, bus, ends), rate(facts, bus, shape), lengths(facts, bus, shape), twist(facts, bus)]
            .into_iter()
            .flatten()
            .collect(),
        Lines::Single => commander(facts, bus).into_iter().collect(),
    }
}

fn names(facts: &Facts, bus: &Bus, nodes: impl Iterator<Item = usize>) -> Vec<String> {
    let devices = nodes.filter_map(|node| bus.nodes.get(node));
    devices.map(|node| quoted(facts.model().device_name(node.device))).collect()
}

fn termination(facts: &Facts, bus: &Bus, ends: &Termination) -> Option<MissingFact> {
    let model = facts.model();
    let name = bus.name(model);
    if !ends.is_stated {
        return Some(MissingFact::new(
            bus.span(model),
            format!("the termination of {} was not checked: it has no terminator, and no node says whether one is inside", bus.called(model)),
            "no terminator and no `termination`",
            "draw the terminators as resistors with `terminator: true`, and add `termination: fitted` or `none` to the ports of the nodes".to_owned(),
            name,
        ));
    }
    let unsure = names(facts, bus, ends.unsure.iter().map(|(node, _)| *node));
    if let Some((node, word)) = ends.unsure.first() {
        let place = bus.nodes.get(*node)?.termination?.span;
        let why = match word {
            vocabulary::Termination::Switchable => "nothing says whether the terminator is on in",
            _ => "it is not known whether a terminator is inside",
        };
        return Some(MissingFact::new(
            place,
            format!("the termination of {} was not checked: {why} {}", bus.called(model), list_of_first(&unsure, 4, 0)),
            "on or off?",
            "measure between the two lines with the supply off and the plug pulled, and write `termination: fitted` or `none`"
                .to_owned(),
            name,
        ));
    }
    None
}

fn rate(facts: &Facts, bus: &Bus, shape: &Shape) -> Option<MissingFact> {
    let model = facts.model();
    // Without a trunk there is nothing to compare yet.
    shape.trunk?;
    let place = match bus.network() {
        Some(network) if model[network].rate.is_none() => model[network].span,
        None if bus.named.is_empty() => bus.span(model),
        Some(_) | None => return None,
    };
    Some(MissingFact::new(
        place,
        format!("the lengths of {} were not checked: its bit rate is not known", bus.called(model)),
        "no bit rate",
        "add it to `networks` with its `rate`, such as `{ kind: CAN, rate: 500 kbit/s }`, and name it by `network` at the pins"
            .to_owned(),
        bus.name(model),
    ))
}

fn lengths(facts: &Facts, bus: &Bus, shape: &Shape) -> Option<MissingFact> {
    let model = facts.model();
    let first = *shape.unmeasured.first()?;
    let place: Span = model[first].span;
    Some(MissingFact::new(
        place,
        format!(
            "the lengths of {} were not checked: {} of it without a length",
            bus.called(model),
            count(shape.unmeasured.len(), "wire")
        ),
        "no `length`",
        "add `length` to each wire of the bus".to_owned(),
        model.wire_name(first),
    ))
}

fn twist(facts: &Facts, bus: &Bus) -> Option<MissingFact> {
    let model = facts.model();
    let loose = facts.untwisted(bus).filter(|loose| loose.is_unstated)?;
    let first = *loose.wires.first()?;
    Some(MissingFact::new(
        model[first].span,
        format!("nothing says whether the pair of {} is twisted: {}", bus.called(model), count(loose.wires.len(), "wire")),
        "no `twist`",
        "give both wires of each length the same `twist`, or the cable kind its twisted cores".to_owned(),
        model.wire_name(first),
    ))
}

fn commander(facts: &Facts, bus: &Bus) -> Option<MissingFact> {
    let model = facts.model();
    let silent =
        names(facts, bus, (0..bus.nodes.len()).filter(|node| bus.nodes.get(*node).is_some_and(|node| node.lin.is_none())));
    let commands = bus.nodes.iter().any(|node| node.lin.is_some_and(|said| said.value == vocabulary::LinNode::Commander));
    if commands || silent.is_empty() {
        return None;
    }
    Some(MissingFact::new(
        bus.span(model),
        format!(
            "the commander of {} was not checked: nothing says what {} {} on it",
            bus.called(model),
            list_of_first(&silent, 4, 0),
            if silent.len() == 1 { "is" } else { "are" }
        ),
        "no `node`",
        "add `node: commander` to the pin of the node that starts the messages, `node: responder` to the others".to_owned(),
        bus.name(model),
    ))
}
