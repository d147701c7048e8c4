//! Converters and chargers that get nothing or feed nothing in a mode in which they are meant to run, with no fault that says why.

use super::MissingFact;
use crate::{
    electrical::{ModeState, connectivity::Connectivity},
    facts::Facts,
    model::{ElementId, ElementKind, ModeId, ModeSet, Model},
    network::{Edge, EdgeId, EdgeRole},
    wording::{list, quoted},
};
use rustc_hash::FxHashSet;

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// An output and the modes in which it was looked at.
#[derive(Debug)]
struct Output {
    edge: EdgeId,
    ends: Edge,
    element: ElementId,
    modes: ModeSet,
    /// Modes in which it gets nothing.
    unfed: Vec<ModeId>,
    /// Modes in which it runs and feeds nothing.
    alone: Vec<ModeId>,
    /// It runs and feeds something in another one.
    works: bool,
}

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut outputs: Vec<Output> = outputs(facts);
    if outputs.is_empty() {
        return Vec::new();
    }
    for mode in facts.electrical().modes() {
        let view = Connectivity::new(facts.network(), Some(mode));
        for output in outputs.iter_mut().filter(|output| output.modes.has(mode.id)) {
            if mode.is_shorted(output.ends.a) {
                output.works = true;
            } else if !mode.conducts(output.edge) {
                output.unfed.push(mode.id);
            } else if feeds(facts, mode, &view, output) {
                output.works = true;
            } else {
                output.alone.push(mode.id);
            }
        }
    }
    let cut: FxHashSet<ElementId> = facts.supply_cuts().iter().flat_map(|cut| cut.loads.iter().copied()).collect();
    // One that names no mode has to work in one of them.
    outputs.retain(|output| !(output.works && output.modes == ModeSet::ALL));
    let notes = outputs.iter().flat_map(|output| {
        let unfed = (!output.unfed.is_empty() && !cut.contains(&output.element)).then(|| unfed(facts, output));
        // A pin without a wire was reported.
        let is_open = [output.ends.a, output.ends.b].iter().any(|point| facts.unconnected().contains(point));
        let alone = (!output.alone.is_empty() && !is_open).then(|| alone(model, output));
        [unfed.flatten(), alone]
    });
    notes.flatten().collect()
}

/// The outputs of converters, and sources with a limit that run in some modes only, as chargers do.
fn outputs(facts: &Facts) -> Vec<Output> {
    let model = facts.model();
    let found = facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element().filter(|_| edge.role.drives())?;
        let modes = match &model[element].kind {
            ElementKind::Converter { modes, .. } => *modes,
            ElementKind::Source { modes, limit: Some(_), .. } if *modes != ModeSet::ALL => *modes,
            ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => {
                return None;
            }
            ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } => {
                return None;
            }
            ElementKind::Disconnect { .. } | ElementKind::Link { .. } | ElementKind::Interlock { .. } => return None,
        };
        let (unfed, alone) = (Vec::new(), Vec::new());
        Some(Output { edge: id, ends: *edge, element, modes, unfed, alone, works: false })
    });
    found.collect()
}

/// Whether an output gives a current, or is joined to something that would take one: a load, which may be off in this mode, or a battery.
fn feeds(facts: &Facts, mode: &ModeState, view: &Connectivity, output: &Output) -> bool {
    if mode.amps(output.edge).get().abs() > NOTHING {
        return true;
    }
    let lump = view.closed.of(output.ends.b);
    let mut around = view.closed.members(lump).iter().flat_map(|point| facts.network().around(*point));
    around.any(|(id, edge, _)| id != output.edge && (edge.role.drains() || (edge.role.takes_charge() && mode.conducts(id))))
}

/// What of its modes is said: nothing for a design that names none.
fn in_modes(model: &Model, modes: &[ModeId]) -> String {
    let named: Vec<String> = modes.iter().filter_map(|mode| model[*mode].name).map(|name| quoted(model.text(name))).collect();
    if named.is_empty() { String::new() } else { format!(" in {}", list(&named)) }
}

/// A converter whose input has no voltage, and nobody can tell whether it should: what feeds it is not drawn.
fn unfed(facts: &Facts, output: &Output) -> Option<MissingFact> {
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

fn alone(model: &Model, output: &Output) -> MissingFact {
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
