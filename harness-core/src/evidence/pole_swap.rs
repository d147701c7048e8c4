//! The leads of a source that is connected the wrong way round trade places, and so do those at the two sides of a thing.

use crate::{
    evidence::remedies,
    facts::{Facts, pins::differ, reversed_sources::ReversedSource},
    finding::{Remedy, RemedyKind},
    model::{EndId, Mate, Owner, PointId, PointKind, WireId},
    network::Edge,
    standards::colour::Colour,
};

/// Sources of a ring of which each is tried.
const MOST: usize = 3;
/// Pairs of lugs that are tried at one source.
const MOST_LUGS: usize = 4;

/// What is bolted to each pole of the device is led to the other one. None where a pole has not exactly one stud or pin with leads. One of several
/// steps where nothing says which source of a ring it is, and where the colours of the leads say that they are right: then the leads may be
/// swapped at their other ends.
#[must_use]
pub fn poles_swapped(facts: &Facts, reversed: &ReversedSource) -> Vec<Remedy> {
    if reversed.is_inside {
        return Vec::new();
    }
    if reversed.is_certain() {
        let whole = leads_swapped(facts, reversed.poles);
        return whole.into_iter().chain(lugs_swapped(facts, reversed.poles)).collect();
    }
    let network = facts.network();
    let edges = reversed.sources.iter().take(MOST).filter_map(|source| {
        network.edges().find(|(_, edge)| edge.role.drives() && edge.element() == Some(*source)).map(|(_, edge)| [edge.b, edge.a])
    });
    let steps = edges.flat_map(|poles| leads_swapped(facts, poles).into_iter().chain(lugs_swapped(facts, poles)));
    steps.map(Remedy::one_of_several).collect()
}

/// One lug of each pole in the place of the other, where a pole has several: those that are where they belong stay.
fn lugs_swapped(facts: &Facts, poles: [PointId; 2]) -> Vec<Remedy> {
    let model = facts.model();
    let at = |pole: PointId| -> Vec<EndId> {
        let port = outside(facts, pole).filter(|point| matches!(model[*point].kind, PointKind::Stud(_)));
        port.and_then(|point| model.port_at(point)).map_or_else(Vec::new, |port| facts.wire_ends().at_port(port).collect())
    };
    let [plus, minus] = poles.map(at);
    if plus.len() + minus.len() < 3 || plus.len() * minus.len() > MOST_LUGS {
        return Vec::new();
    }
    let pairs = plus.iter().flat_map(|one| minus.iter().map(move |other| (*one, *other)));
    let swapped = pairs.filter_map(|(one, other)| {
        let words = format!("swap the lugs `{}` and `{}`", model.end_name(one), model.end_name(other));
        let (there, here) = (model.mate_name(model[other].mate?), model.mate_name(model[one].mate?));
        let remedy = Remedy::new(RemedyKind::Swap, words).edit(model[one].mate_span?, there);
        Some(remedy.edit(model[other].mate_span?, here).one_of_several())
    });
    swapped.collect()
}

fn leads_swapped(facts: &Facts, poles: [PointId; 2]) -> Option<Remedy> {
    let [plus, minus] = poles.map(|pole| outside(facts, pole));
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

/// The poles of the two sides of a thing whose leads are in each other's place, in pairs: those that are joined to the domain of the other side;
/// all of them, pole by pole, where that is not known of one at each side. A pole that both sides share keeps its leads. None where a pole has
/// not exactly one stud or pin with leads.
#[must_use]
pub fn crossed_poles(facts: &Facts, input: [PointId; 2], output: [PointId; 2]) -> Vec<[PointId; 2]> {
    let outside = |poles: [PointId; 2]| poles.map(|pole| outside(facts, pole));
    let ([Some(plus), Some(minus)], [Some(out), Some(back)]) = (outside(input), outside(output)) else { return Vec::new() };
    let crossed = |poles: [PointId; 2]| -> Vec<PointId> { poles.into_iter().filter(|pole| is_crossed(facts, *pole)).collect() };
    match (crossed([plus, minus]).as_slice(), crossed([out, back]).as_slice()) {
        ([one], [other]) if one != other => vec![[*one, *other]],
        _ => [[plus, out], [minus, back]].into_iter().filter(|[one, other]| one != other).collect(),
    }
}

/// Whether wires join a pin to one of a domain that is not its own.
fn is_crossed(facts: &Facts, point: PointId) -> bool {
    let (model, pins) = (facts.model(), facts.pins());
    let of = pins.of_run(pins.run(point));
    let Some(own) = of.iter().find(|pin| pin.point == point).and_then(|pin| pin.domain) else { return false };
    of.iter().filter_map(|pin| pin.domain).any(|other| differ(model, own, other))
}

/// What is led to each of two poles goes to the other. One of several steps: the thing may be drawn the wrong way round.
#[must_use]
pub fn sides_swapped(facts: &Facts, crossed: &[[PointId; 2]]) -> Option<Remedy> {
    let model = facts.model();
    let mut whole: Option<Remedy> = None;
    for [one, other] in crossed {
        let step = match (model[*one].kind, model[*other].kind) {
            (PointKind::Stud(_), PointKind::Stud(_)) => studs_swapped(facts, *one, *other)?,
            _ => remedies::swapped(facts, *one, *other)?,
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
