//! Where the current of a load comes from: whether a switch lies on its way, and the way itself.

use super::views::{Part, is_on, part, switches};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{ModeId, ModeSet, PointId},
    network::{Components, Edge, EdgeId, Step},
};
use rustc_hash::FxHashSet;

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
        analysis: &Analysis<'_>,
        permanent: &Components,
        (load, edge): (EdgeId, &Edge),
        modes: ModeSet,
    ) -> bool {
        if permanent.of(edge.a) != permanent.of(edge.b) {
            return true;
        }
        let mut running = analysis.electrical.modes().filter(|mode| modes.has(mode.id));
        let runs = running.find(|mode| mode.amps(load).get().abs() > NOTHING);
        runs.is_some_and(|mode| {
            // The current goes in at one side and comes out at the other.
            let (source, sink) = if mode.amps(load).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
            self.passes_switch(analysis, mode, source, Way::Against) || self.passes_switch(analysis, mode, sink, Way::Along)
        })
    }

    /// Follows the current from `start` up to the sources; whether it passes a switch.
    fn passes_switch(&mut self, analysis: &Analysis<'_>, mode: &ModeState, start: PointId, way: Way) -> bool {
        let mut seen: FxHashSet<PointId> = FxHashSet::default();
        let mut waiting = vec![start];
        while let Some(point) = waiting.pop() {
            if self.clean.contains(&(mode.id, way, point)) || !seen.insert(point) {
                continue;
            }
            for (id, edge, other) in analysis.network.around(point) {
                let leaves = (edge.a == point) == (way == Way::Along);
                let amps = if leaves { mode.amps(id).get() } else { -mode.amps(id).get() };
                let passes = matches!(part(analysis.model, edge), Part::Conductor | Part::Resistor);
                if amps <= NOTHING || !passes {
                    continue;
                }
                if switches(analysis.model, edge) {
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
