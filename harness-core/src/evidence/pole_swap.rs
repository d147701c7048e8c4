//! The leads of a source that is connected the wrong way round trade places, and so do those at the two sides of a thing.

use crate::{
    evidence::remedies,
    facts::{Facts, reversed_sources::ReversedSource},
    finding::{Remedy, RemedyKind},
    model::{EndId, Mate, Owner, PointId, PointKind, WireId},
    network::Edge,
    standards::colour::Colour,
};

/// What is bolted to each pole of the device is led to the other one. `None` where it is not certain that the source is the fault, or where a pole has
/// not exactly one stud or pin with leads. One of several steps where the colours of the leads say that they are right: then the leads may be
/// swapped at their other ends.
#[must_use]
pub fn poles_swapped(facts: &Facts, reversed: &ReversedSource) -> Option<Remedy> {
    (reversed.is_certain() && !reversed.is_inside).then_some(())?;
    let [plus, minus] = reversed.poles.map(|pole| outside(facts, pole));
    let (plus, minus) = (plus?, minus?);
    let model = facts.model();
    let remedy = match (model[plus].kind, model[minus].kind) {
        (PointKind::Stud(_), PointKind::Stud(_)) => studs_swapped(facts, plus, minus)?,
        _ => remedies::swapped(facts, plus, minus)?,
    };
    let has = |point: PointId, colour: Colour| {
        leads(facts, point).iter().any(|wire| model[*wire].colour.is_some_and(|own| own.value.base == colour))
    };
    let look_right = has(plus, Colour::Red) && !has(minus, Colour::Red) || has(minus, Colour::Black) && !has(plus, Colour::Black);
    Some(if look_right { remedy.one_of_several() } else { remedy })
}

/// What is led to the input of a thing goes to its output, and the other way round, pole by pole; a pole that both share keeps its leads. `None`
/// where a pole has not exactly one stud or pin with leads. One of several steps: the thing may be drawn the wrong way round.
#[must_use]
pub fn sides_swapped(facts: &Facts, input: [PointId; 2], output: [PointId; 2]) -> Option<Remedy> {
    let model = facts.model();
    let mut whole: Option<Remedy> = None;
    for (one, other) in input.into_iter().zip(output) {
        let (one, other) = (outside(facts, one)?, outside(facts, other)?);
        if one == other {
            continue;
        }
        let step = match (model[one].kind, model[other].kind) {
            (PointKind::Stud(_), PointKind::Stud(_)) => studs_swapped(facts, one, other)?,
            _ => remedies::swapped(facts, one, other)?,
        };
        whole = Some(match whole {
            None => step,
            Some(first) => {
                let words = format!("{} and {}", first.words, step.words);
                step.edits.into_iter().fold(Remedy { words, ..first }, |remedy, edit| remedy.edit(edit.span, edit.text))
            }
        });
    }
    whole.map(Remedy::one_of_several)
}

/// The one stud or pin of the device with leads to which a pole goes inside, past fuses; `None` for several.
fn outside(facts: &Facts, pole: PointId) -> Option<PointId> {
    let (model, network) = (facts.model(), facts.network());
    let device = model.device_at(pole)?;
    let is_inside = |edge: &Edge| {
        let own = edge.element().is_some_and(|element| model[element].owner == Owner::Device(device));
        own && edge.role.conducts_when_closed()
    };
    let reached = network.walk([pole], |_, edge| is_inside(edge));
    let mut led = reached.reached().iter().copied().filter(|point| !leads(facts, *point).is_empty());
    let only = led.next()?;
    led.next().is_none().then_some(only)
}

/// The wires at what is mated with or bolted to a point of a device.
fn leads(facts: &Facts, point: PointId) -> Vec<WireId> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    match model[point].kind {
        PointKind::Stud(port) => {
            let at = ends.at_port(port).filter_map(|end| model[end].points.get(0));
            at.flat_map(|point| ends.wires(point)).map(|end| end.wire).collect()
        }
        PointKind::Pin(_) => ends.wire_at(model, point).map(|end| end.wire).into_iter().collect(),
        PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => Vec::new(),
    }
}

fn studs_swapped(facts: &Facts, plus: PointId, minus: PointId) -> Option<Remedy> {
    let model = facts.model();
    let (one, other) = (model.port_at(plus)?, model.port_at(minus)?);
    let words = format!("swap the leads at `{}` and `{}`", model.port_name(one), model.port_name(other));
    let mut remedy = Remedy::new(RemedyKind::Swap, words);
    for (from, to) in [(one, other), (other, one)] {
        let ends: Vec<EndId> = facts.wire_ends().at_port(from).collect();
        for end in ends {
            remedy = remedy.edit(model[end].mate_span?, model.mate_name(Mate::Port(to)));
        }
    }
    Some(remedy)
}
