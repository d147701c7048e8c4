//! Rings of sources that do not cancel: the one with whose poles swapped they would.

use super::{ReversedSource, Sign};
use crate::{
    facts::{Facts, shorts::Short},
    model::{ElementId, ModeSet},
    network::Edge,
    quantity::Volt,
};
use rustc_hash::FxHashSet;

/// Share of the voltages of one side of a ring up to which it is in balance.
const BALANCE: f64 = 0.4;

/// The source of a ring that is reversed, by their voltages around it; more where nothing says which.
pub(super) fn by_ring(facts: &Facts, right: &FxHashSet<ElementId>, at: usize, short: &Short, found: &mut Vec<ReversedSource>) {
    let ring = ring(facts, short);
    // It is known already, by what is joined to it.
    let is_known = |known: &&mut ReversedSource| {
        known.is_certain() && known.sources.iter().any(|source| ring.iter().any(|(it, _)| it == source))
    };
    if let Some(known) = found.iter_mut().find(is_known) {
        known.shorts.push(at);
        return;
    }
    let Some(mut sources) = reversed_of(facts, short, &ring) else { return };
    let others: Vec<ElementId> = sources.iter().copied().filter(|source| !right.contains(source)).collect();
    if others.len() == 1 {
        sources = others;
    }
    let Some(edge) = sources.first().and_then(|first| pole_edge(facts, *first)) else { return };
    found.push(ReversedSource {
        sources,
        sign: Sign::Ring,
        poles: [edge.b, edge.a],
        things: Vec::new(),
        is_inside: false,
        shorts: vec![at],
    });
}

fn pole_edge(facts: &Facts, source: ElementId) -> Option<Edge> {
    facts.network().edges().find(|(_, edge)| edge.role.drives() && edge.element() == Some(source)).map(|(_, edge)| *edge)
}

/// The sources of a short with their voltages, as they drive around it.
fn ring(facts: &Facts, short: &Short) -> Vec<(ElementId, f64)> {
    let (model, network) = (facts.model(), facts.network());
    let volts = |source: ElementId| model[source].kind.open_voltage().map_or(0.0, Volt::get);
    let mut ring = vec![(short.source, volts(short.source))];
    for step in &short.steps {
        let edge = &network[step.edge];
        if let Some(source) = edge.element().filter(|_| edge.role.drives()) {
            ring.push((source, if step.point == edge.b { volts(source) } else { -volts(source) }));
        }
    }
    ring
}

/// Those of a ring that may be reversed; `None` for one source, for sources of different voltage, and for a string whose ends are joined.
fn reversed_of(facts: &Facts, short: &Short, ring: &[(ElementId, f64)]) -> Option<Vec<ElementId>> {
    let model = facts.model();
    (ring.len() > 1).then_some(())?;
    let sum: f64 = ring.iter().map(|(_, emf)| emf).sum();
    let side = ring.iter().map(|(_, emf)| emf.abs()).sum::<f64>() / 2.0;
    let flips: Vec<(ElementId, f64)> =
        ring.iter().filter(|(_, emf)| (sum - 2.0 * emf).abs() <= BALANCE * side).copied().collect();
    if ring.iter().any(|(_, emf)| *emf < 0.0) {
        return match flips.as_slice() {
            [(one, _)] => Some(vec![*one]),
            _ => None,
        };
    }
    // All drive the same way. A string of the voltage that its domain has may be shorted as it is.
    let points = std::iter::once(short.start).chain(short.steps.iter().map(|step| step.point));
    let domains = points.filter_map(|point| facts.electrical().domains().of(point));
    let highest = domains.map(|domain| model[domain].max.get()).fold(0.0, f64::max);
    if highest <= 0.0 || sum <= highest {
        return None;
    }
    let charges = |source: ElementId| model[source].kind.limit().is_some() || model[source].kind.modes() != Some(ModeSet::ALL);
    let of_charging: Vec<ElementId> = flips.iter().map(|(source, _)| *source).filter(|source| charges(*source)).collect();
    match (flips.len(), of_charging.as_slice()) {
        // Of two nothing says which.
        (2, _) if ring.len() == 2 => Some(flips.iter().map(|(source, _)| *source).collect()),
        (_, [one]) => Some(vec![*one]),
        _ => None,
    }
}
