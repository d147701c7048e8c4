//! Converters and chargers that get nothing or feed nothing in a mode in which they are meant to run, with no fault that says why; and what
//! runs in no mode.

use super::MissingFact;
use crate::{
    facts::{Facts, idle_sources::IdleSource},
    model::{ElementId, ModeId, ModeSet, Model, PointId},
    network::EdgeRole,
    wording::{agree, list, list_of_first, quoted},
};
use rustc_hash::FxHashSet;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let cut: FxHashSet<ElementId> = facts.supply_cuts().iter().flat_map(|cut| cut.loads.iter().copied()).collect();
    // Batteries that feed nothing in any mode, in one note: what they feed is not drawn.
    let is_unused = |source: &&IdleSource| {
        let swapped = facts.swapped_converters();
        let is_known = swapped.iter().any(|swapped| swapped.source == Some(source.element));
        source.names_no_mode && !source.alone.is_empty() && !is_known
    };
    let unused: Vec<&IdleSource> = facts.idle_sources().iter().filter(is_unused).collect();
    let notes = facts.idle_sources().iter().flat_map(|source| {
        let is_known = facts.is_swapped(source.element) || facts.is_in_dead_ring(source.element);
        let unfed = (!source.unfed.is_empty() && !cut.contains(&source.element) && !is_known).then(|| unfed(facts, source));
        // A pin without a wire was reported.
        let is_open = [source.positive, source.negative].iter().any(|point| facts.unconnected().contains(point));
        // One that something separates from its battery is a finding of its own.
        let is_alone = !source.alone.is_empty() && !is_open && !source.names_no_mode && source.open_way(facts).is_none();
        let alone = is_alone.then(|| alone(model, source));
        let untraced = source.untraced.filter(|_| !source.cut.is_empty() && !is_open);
        [unfed.flatten(), alone, untraced.map(|pin| untraced_return(model, source, pin))]
    });
    notes.flatten().chain(unused_note(model, &unused)).chain(never_runs(facts)).collect()
}

/// Sources, converters and loads that run in no mode, one note for all: the design was never judged with them on. What is joined to nothing
/// is left out: it would not run either.
fn never_runs(facts: &Facts) -> Option<MissingFact> {
    let (model, network) = (facts.model(), facts.network());
    let is_joined = |id: ElementId, point: PointId| network.around(point).any(|(_, edge, _)| edge.element() != Some(id));
    let never = model.elements().filter(|(id, element)| {
        let in_none = element.kind.modes().is_some_and(|modes| modes == ModeSet::NONE);
        in_none && element.points.iter().all(|point| is_joined(*id, *point))
    });
    let never: Vec<ElementId> = never.map(|(id, _)| id).collect();
    let first = never.first()?;
    let names: Vec<String> = never.iter().map(|id| quoted(model.element_name(*id))).collect();
    let mut note = MissingFact::new(
        model[*first].span,
        format!(
            "nothing was judged with {} on: {} in no mode",
            list_of_first(&names, 3, 0),
            agree(names.len(), "it runs", "they run")
        ),
        "runs in no mode",
        "name the modes in which each runs under `in`, or take `in` out where it runs in every mode".to_owned(),
        model.element_name(*first),
    );
    note.others = never.iter().skip(1).map(|id| (model[*id].span, model.element_name(*id))).collect();
    Some(note)
}

/// What of its modes is said: nothing for a design that names none.
fn in_modes(model: &Model, modes: &[ModeId]) -> String {
    let named: Vec<String> = modes.iter().filter_map(|mode| model[*mode].name).map(|name| quoted(model.text(name))).collect();
    if named.is_empty() { String::new() } else { format!(" in {}", list(&named)) }
}

/// A converter whose input has no voltage, and nobody can say whether it should: what feeds it is not drawn.
fn unfed(facts: &Facts, output: &IdleSource) -> Option<MissingFact> {
    let model = facts.model();
    let item = &model[output.element];
    let name = model.element_name(output.element);
    // A pin without a wire was reported.
    if item.points.iter().take(2).any(|point| facts.unconnected().contains(point)) {
        return None;
    }
    let input = facts
        .network()
        .edges()
        .find(|(_, edge)| edge.element() == Some(output.element) && edge.role == EdgeRole::ConverterInput)?;
    let modes = in_modes(model, &output.unfed);
    Some(MissingFact::new(
        item.span,
        format!("what `{name}` feeds{modes} was not checked: no source is drawn behind its input"),
        "its input has no voltage",
        format!("add the supply as a device with a `source` inside, joined to `{}`", model.point_name(input.1.a)),
        name,
    ))
}

fn alone(model: &Model, output: &IdleSource) -> MissingFact {
    let name = model.element_name(output.element);
    let modes = in_modes(model, &output.alone);
    MissingFact::new(
        model[output.element].span,
        format!("the output of `{name}` was not checked{modes}: it runs and feeds nothing"),
        "no load or battery is joined to its output",
        format!("close what joins `{name}` to its load or battery in these modes, or correct its `in:`"),
        name,
    )
}

/// Sources to which nothing is joined in any mode.
fn unused_note(model: &Model, sources: &[&IdleSource]) -> Option<MissingFact> {
    let first = sources.first()?;
    let names: Vec<String> = sources.iter().map(|source| quoted(model.element_name(source.element))).collect();
    let mut note = MissingFact::new(
        model[first.element].span,
        format!(
            "what {} {} was not checked: no load is joined to {}",
            list_of_first(&names, 3, 0),
            agree(names.len(), "gives", "give"),
            agree(names.len(), "it", "them")
        ),
        "gives nothing in any mode",
        "add the loads under `inside` of what it feeds, or close what leads to them in some mode".to_owned(),
        model.element_name(first.element),
    );
    note.others = sources.iter().skip(1).map(|source| (model[source.element].span, model.element_name(source.element))).collect();
    Some(note)
}

/// A source whose current may get back through a box of which nothing is drawn.
fn untraced_return(model: &Model, source: &IdleSource, pin: PointId) -> MissingFact {
    let name = model.element_name(source.element);
    let (modes, pin) = (in_modes(model, &source.cut), model.point_name(pin));
    MissingFact::new(
        model[source.element].span,
        format!("whether `{name}` can deliver{modes} was not checked: nothing is drawn behind `{pin}` on its way back"),
        "its negative leads to a box of which nothing is drawn",
        format!("add under `inside` what joins `{pin}` to the other pins of its device, such as a `link`"),
        name,
    )
}
