//! Where the current of a load comes from: whether a switch lies on its way, and the way itself.

use super::{
    ends::listed,
    views::{Part, is_switched, nominal, part, switches},
};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{ElementId, ElementKind, ModeId, ModeSet, PointId},
    network::{Components, Edge, EdgeId, GroupId, Step},
};
use rustc_hash::FxHashSet;

/// Share of its nominal voltage from which a load counts as alive.
pub(super) const ALIVE: f64 = 0.5;
/// Names that are told; the rest is counted.
const NAMED: usize = 3;
/// Current below which an edge carries nothing.
const NOTHING: f64 = 1e-6;

/// Follows currents to their sources and remembers the points from which no switch is met.
///
/// Cost: over all walks that meet no switch each point is passed once for each mode and direction.
#[derive(Debug, Default)]
pub(super) struct Walks {
    clean: FxHashSet<(ModeId, Way, PointId)>,
}

/// The direction of a walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Way {
    Against,
    Along,
}

impl Walks {
    /// Whether something is meant to switch the load: no way to a source is without a switch, or its current passes one.
    pub(super) fn is_switched(
        &mut self,
        analysis: &Analysis,
        permanent: &Components,
        (load, edge): (EdgeId, &Edge),
        modes: ModeSet,
    ) -> bool {
        if permanent.of(edge.a) != permanent.of(edge.b) {
            return true;
        }
        let mut running = analysis.electrical().modes().filter(|mode| modes.has(mode.id));
        let runs = running.find(|mode| mode.amps(load).get().abs() > NOTHING);
        runs.is_some_and(|mode| {
            // The current goes in at one side and comes out at the other.
            let (source, sink) = if mode.amps(load).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
            self.passes_switch(analysis, mode, source, Way::Against) || self.passes_switch(analysis, mode, sink, Way::Along)
        })
    }

    /// Follows the current from `start` up to the sources; whether it passes a switch.
    fn passes_switch(&mut self, analysis: &Analysis, mode: &ModeState, start: PointId, way: Way) -> bool {
        let mut seen: FxHashSet<PointId> = FxHashSet::default();
        let mut waiting = vec![start];
        while let Some(point) = waiting.pop() {
            if self.clean.contains(&(mode.id, way, point)) || !seen.insert(point) {
                continue;
            }
            for (id, edge, other) in analysis.network().around(point) {
                let leaves = (edge.a == point) == (way == Way::Along);
                let amps = if leaves { mode.amps(id).get() } else { -mode.amps(id).get() };
                let passes = matches!(part(analysis.model(), edge), Part::Conductor | Part::Resistor);
                if amps <= NOTHING || !passes {
                    continue;
                }
                if switches(analysis.model(), edge) {
                    return true;
                }
                waiting.push(other);
            }
        }
        self.clean.extend(seen.into_iter().map(|point| (mode.id, way, point)));
        false
    }
}

/// From a positive pole to the hot side of the load: past no load if there is such a way.
pub(super) fn path(analysis: &Analysis, mode: &ModeState, load: EdgeId, hot: PointId) -> Vec<String> {
    let pole = |point: PointId| {
        analysis
            .network()
            .around(point)
            .any(|(id, edge, _)| part(analysis.model(), edge) == Part::Source && edge.b == point && mode.conducts(id))
    };
    let closed = |id: EdgeId, edge: &Edge| mode.conducts(id) && part(analysis.model(), edge) == Part::Conductor;
    let any = |id: EdgeId, edge: &Edge| id != load && mode.conducts(id) && part(analysis.model(), edge) != Part::Source;
    let steps = analysis.network().path(hot, pole, closed).or_else(|| analysis.network().path(hot, pole, any));
    let Some(steps) = steps else { return Vec::new() };
    // The path was found from the load: it is told from the source.
    let start = steps.last().map_or(hot, |step| step.point);
    let points = std::iter::once(hot).chain(steps.iter().map(|step| step.point));
    let mut turned: Vec<Step> = steps.iter().zip(points).map(|(step, before)| Step { edge: step.edge, point: before }).collect();
    turned.reverse();
    analysis.network().names(analysis.model(), start, &turned)
}

/// Coils and loads that are alive in `state`, should be off, and hang on a contact of `relay`; in `before` they are not alive.
///
/// Cost: a few passes over the edges.
pub(super) fn behind(analysis: &Analysis, relay: ElementId, state: &ModeState, before: Option<&ModeState>) -> Vec<String> {
    let (model, network) = (analysis.model(), analysis.network());
    let own = |edge: &Edge| edge.element().is_some_and(|(element, _)| element == relay);
    // What a source reaches over closed conductors, with this relay and without: the difference hangs on it.
    let fed = [true, false].map(|with| {
        let closed = |id, edge: &Edge| state.conducts(id) && part(model, edge) == Part::Conductor && (with || !own(edge));
        let lumps = network.components(closed);
        let poles = network.edges().filter(|(id, edge)| part(model, edge) == Part::Source && state.conducts(*id));
        let poles: FxHashSet<GroupId> = poles.map(|(_, edge)| lumps.of(edge.b)).collect();
        (lumps, poles)
    });
    let hangs = |point| fed.each_ref().map(|(lumps, poles)| poles.contains(&lumps.of(point))) == [true, false];
    let domains = analysis.electrical().domains();
    let loads = network.edges().filter_map(|(_, edge)| {
        let (id, _) = edge.element().filter(|_| part(model, edge) == Part::Load && !own(edge))?;
        let element = model.element(id)?;
        let switched = match element.kind {
            ElementKind::Load { kind: Some(kind), modes, .. } => is_switched(kind) && !modes.has(state.id),
            ElementKind::Relay { .. } => true,
            _ => false,
        };
        let least = nominal(model, domains, element).filter(|_| switched)?.get() * ALIVE;
        let across = |state: &ModeState| state.volts(edge.a).get() - state.volts(edge.b).get();
        let hot = if across(state) > 0.0 { edge.a } else { edge.b };
        let new = before.is_none_or(|before| across(before).abs() < least);
        (across(state).abs() >= least && new && hangs(hot)).then(|| model.element_name(id))
    });
    loads.collect()
}

/// The first few names of a list in words, and how many more there are.
pub(super) fn few(names: &[String]) -> String {
    let named: Vec<String> = names.iter().take(NAMED).map(|name| format!("`{name}`")).collect();
    match names.len().saturating_sub(NAMED) {
        0 => listed(&named),
        more => format!("{} and {more} more", named.join(", ")),
    }
}
