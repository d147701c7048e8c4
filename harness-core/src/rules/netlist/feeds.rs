//! Where the current of a load comes from: whether a switch lies on its way, and the way itself.

use super::views::{Part, is_on, part, switches};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::PointId,
    network::{Components, Edge, EdgeId, Step},
};

/// Current below which an edge carries nothing.
const NOTHING: f64 = 1e-6;

/// Whether something is meant to switch the load: no way to a source is without a switch, or its current passes one.
pub(super) fn is_switched(
    analysis: &Analysis<'_>,
    permanent: &Components,
    load: EdgeId,
    edge: &Edge,
    modes: crate::model::ModeSet,
) -> bool {
    if permanent.of(edge.a) != permanent.of(edge.b) {
        return true;
    }
    let runs = analysis.electrical.modes().find(|mode| modes.has(mode.id) && mode.amps(load).get().abs() > NOTHING);
    runs.is_some_and(|mode| {
        // The current goes in at one side and comes out at the other.
        let (source, sink) = if mode.amps(load).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        passes_switch(analysis, mode, source, -1.0) || passes_switch(analysis, mode, sink, 1.0)
    })
}

/// Follows the current from `start`, against it for a negative `way`, up to the sources; whether it passes a switch.
fn passes_switch(analysis: &Analysis<'_>, mode: &ModeState, start: PointId, way: f64) -> bool {
    let mut seen: rustc_hash::FxHashSet<PointId> = rustc_hash::FxHashSet::default();
    let mut waiting = vec![start];
    seen.insert(start);
    while let Some(point) = waiting.pop() {
        for (id, edge, other) in analysis.network.around(point) {
            let leaving = if edge.a == point { mode.amps(id).get() } else { -mode.amps(id).get() };
            let passes = matches!(part(analysis.model, edge), Part::Conductor | Part::Resistor);
            if leaving * way <= NOTHING || !passes {
                continue;
            }
            if switches(analysis.model, edge) {
                return true;
            }
            if seen.insert(other) {
                waiting.push(other);
            }
        }
    }
    false
}

/// From a positive pole to the hot side of the load: past no load if there is such a way.
pub(super) fn path(analysis: &Analysis<'_>, mode: &ModeState, load: EdgeId, hot: PointId) -> Vec<String> {
    let pole = |point: PointId| {
        analysis
            .network
            .around(point)
            .any(|(id, edge, _)| part(analysis.model, edge) == Part::Source && edge.b == point && is_on(analysis, mode, id))
    };
    let closed = |id: EdgeId, edge: &Edge| mode.conducts(id) && part(analysis.model, edge) == Part::Conductor;
    let any = |id: EdgeId, edge: &Edge| id != load && mode.conducts(id) && part(analysis.model, edge) != Part::Source;
    let steps = analysis.network.path(hot, pole, closed).or_else(|| analysis.network.path(hot, pole, any));
    let Some(steps) = steps else { return Vec::new() };
    // The path was found from the load: it is told from the source.
    let start = steps.last().map_or(hot, |step| step.point);
    let points = std::iter::once(hot).chain(steps.iter().map(|step| step.point));
    let mut turned: Vec<Step> = steps.iter().zip(points).map(|(step, before)| Step { edge: step.edge, point: before }).collect();
    turned.reverse();
    analysis.network.names(analysis.model, start, &turned)
}
