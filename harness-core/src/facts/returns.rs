//! Conductors through which all that a source with a limit gives flows back to its negative pole.
//!
//! The idea: from the pole the way is followed as long as it does not branch; up to there it carries what the source gives, whatever the loads
//! take at present. Cables side by side are one step of it. A pole that is the negative side of the same converter's input carries the
//! difference of both.
//!
//! Cost: a walk for each source with a limit.

use super::Facts;
use crate::{
    electrical::fuses::fuse::kind_of,
    model::{ElementId, ElementKind, Owner, PointId, WireId},
    network::{Components, Edge, EdgeId, EdgeRole},
    quantity::Ampere,
};
use rustc_hash::FxHashSet;

/// The return of a source.
#[derive(Debug, Clone)]
pub(super) struct SourceReturn {
    /// The source or converter.
    pub source: ElementId,
    /// What it gives at most, by its limit and the fuses behind it.
    pub amps: Ampere,
    /// The conductors.
    pub wires: Vec<WireId>,
}

/// The returns of all sources with a limit, in the order of their edges; none for one whose pole branches at once.
pub(super) fn source_returns(facts: &Facts) -> Vec<SourceReturn> {
    let (model, network) = (facts.model(), facts.network());
    let limited = || network.edges().filter(|(_, edge)| edge.role.drives() && !edge.role.drives_without_limit());
    if limited().next().is_none() {
        return Vec::new();
    }
    let places = network.components(|_, edge| edge.is_metal() && edge.wire().is_none());
    let found = limited().filter_map(|(id, edge)| {
        let source = edge.element()?;
        let limit = model[source].kind.limit()?;
        let (wires, least) = way(facts, &places, (id, edge), edge.a);
        let fuses = fuses_behind(facts, (id, edge)).unwrap_or(limit);
        let amps = [Some(limit), Some(fuses), least].into_iter().flatten().reduce(|a, b| if b < a { b } else { a })?;
        let share = shared(facts, &places, edge, source);
        (!wires.is_empty()).then_some(SourceReturn { source, amps: amps * share, wires })
    });
    found.collect()
}

/// Share of its current that flows in the return of a source: less than all where a converter's input returns by the same pole.
fn shared(facts: &Facts, places: &Components, output: &Edge, source: ElementId) -> f64 {
    let (model, network) = (facts.model(), facts.network());
    let ElementKind::Converter { output: volts, efficiency, .. } = model[source].kind else { return 1.0 };
    let mut inputs = network.edges().filter(|(_, edge)| edge.role == EdgeRole::ConverterInput && edge.element() == Some(source));
    let Some((_, input)) = inputs.find(|(_, input)| places.of(input.b) == places.of(output.a)) else { return 1.0 };
    let domain = facts.electrical().domains().of(input.a);
    let Some(nominal) = domain.map(|domain| model[domain].nominal.get()).filter(|nominal| *nominal > 0.0) else { return 1.0 };
    (1.0 - volts.get() / (nominal * efficiency.get())).abs()
}

/// The wires from a pole up to the first branch, and the smallest fuse on the way.
fn way(facts: &Facts, places: &Components, (source, edge): (EdgeId, &Edge), pole: PointId) -> (Vec<WireId>, Option<Ampere>) {
    let (model, network) = (facts.model(), facts.network());
    let owner = edge.element().map(|element| model[element].owner);
    let (mut wires, mut least) = (Vec::new(), None);
    let (mut at, mut came) = (pole, FxHashSet::from_iter([source]));
    let mut seen = FxHashSet::from_iter([places.of(pole)]);
    loop {
        let members = places.members(places.of(at)).iter();
        let leaving = members.flat_map(|point| network.around(*point)).filter(|(id, other, _)| {
            let inside = other.is_metal() && other.wire().is_none();
            !inside && !came.contains(id) && !is_of_source(facts, other, edge.element(), owner)
        });
        let leaving: Vec<(EdgeId, Edge, PointId)> = leaving.map(|(id, other, to)| (id, *other, to)).collect();
        let Some((_, first, next)) = leaving.first().copied() else { break };
        let is_one_way = leaving
            .iter()
            .all(|(_, other, to)| places.of(*to) == places.of(next) && other.wire().is_some() == first.wire().is_some());
        if !is_one_way || !first.role.conducts_when_closed() || !seen.insert(places.of(next)) {
            break;
        }
        let fuse = first.element().filter(|_| first.role.is_fuse()).and_then(|fuse| kind_of(model, fuse)?.rating);
        least = [least, fuse.map(|rating| rating.value)].into_iter().flatten().reduce(|a: Ampere, b| if b < a { b } else { a });
        wires.extend(leaving.iter().filter_map(|(_, other, _)| other.wire()));
        came.extend(leaving.iter().map(|(id, ..)| *id));
        at = next;
    }
    (wires, least)
}

/// Whether an edge belongs to the source itself: its other edge, and what its own box does with the pole.
fn is_of_source(facts: &Facts, edge: &Edge, source: Option<ElementId>, owner: Option<Owner>) -> bool {
    let Some(element) = edge.element() else { return false };
    Some(element) == source || (!edge.role.conducts_when_closed() && Some(facts.model()[element].owner) == owner)
}

/// What the fuses behind the positive pole let through together; `None` where something takes current before them.
fn fuses_behind(facts: &Facts, (source, edge): (EdgeId, &Edge)) -> Option<Ampere> {
    let (model, network) = (facts.model(), facts.network());
    let owner = edge.element().map(|element| model[element].owner);
    let walk = network.walk([edge.b], |id, edge| id != source && edge.role.passes_faults());
    let mut sum = Ampere::ZERO;
    let mut seen: FxHashSet<EdgeId> = FxHashSet::default();
    for (id, other, _) in walk.reached().iter().flat_map(|point| network.around(*point)) {
        if id == source || other.role.passes_faults() || is_of_source(facts, other, edge.element(), owner) || !seen.insert(id) {
            continue;
        }
        let fuse = other.element().filter(|_| other.role.is_fuse())?;
        sum += kind_of(model, fuse)?.rating?.value;
    }
    (sum > Ampere::ZERO).then_some(sum)
}
