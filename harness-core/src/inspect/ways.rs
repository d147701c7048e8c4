//! The way of the current: from a source to a thing and back to that source.
//!
//! Where current flows the ways follow it; where none does they follow what joins, and say so.

use crate::{
    analysis::Analysis,
    electrical::{
        ModeState,
        current_path::{CurrentPath, Direction},
    },
    model::{ElementKind, PointId},
    network::{Edge, EdgeId, Step, Terminal},
};
use rustc_hash::FxHashMap;
use std::collections::VecDeque;

/// Names along the way of the current in `mode`, in its own direction; `None` where it carries none at `start`.
pub(super) fn carried(analysis: &Analysis, mode: &ModeState, start: PointId, direction: Direction) -> Option<Vec<String>> {
    let steps = CurrentPath::new(analysis.network(), mode, direction).way(start);
    let end = steps.last().map_or(start, |step| step.point);
    // A source that delivers is where the way ends: its current comes out of one pole and goes back into the other.
    let delivers = |(id, edge, _): (EdgeId, &Edge, PointId)| {
        is_source(analysis, edge) && pole(edge, direction) == end && mode.working_amps(id, edge).get() > 0.0
    };
    analysis.network().around(end).any(delivers).then(|| names(analysis, start, &steps, direction))
}

/// The pole of a source at which a way ends.
fn pole(edge: &Edge, direction: Direction) -> PointId {
    match direction {
        Direction::Feed => edge.b,
        Direction::Return => edge.a,
    }
}

/// Names along what joins `start` to a pole of a source, in the direction that a current would have; `None` where
/// nothing does. Switches count as closed. The way back passes loads, the way to the source does not.
pub(super) fn joined(analysis: &Analysis, start: PointId, direction: Direction) -> Option<Vec<String>> {
    let passes = |_: EdgeId, edge: &Edge, _: PointId| match edge.element() {
        None => true,
        Some((_, Terminal::Bar | Terminal::Make | Terminal::Break)) => true,
        Some((_, Terminal::Coil | Terminal::Input | Terminal::Output)) => false,
        Some((element, Terminal::Whole)) => match analysis.model().element(element).map(|item| &item.kind) {
            Some(ElementKind::Load { .. } | ElementKind::Resistor(_)) => direction == Direction::Return,
            Some(ElementKind::Source { .. } | ElementKind::Capacitor(_)) | None => false,
            Some(_) => true,
        },
    };
    let ends = |point: PointId| {
        analysis.network().around(point).any(|(_, edge, _)| is_source(analysis, edge) && pole(edge, direction) == point)
    };
    let steps = walk(analysis, start, passes, ends)?;
    Some(names(analysis, start, &steps, direction))
}

pub(super) fn is_source(analysis: &Analysis, edge: &Edge) -> bool {
    let Some((element, terminal)) = edge.element() else { return false };
    let kind = analysis.model().element(element).map(|item| &item.kind);
    terminal == Terminal::Output || matches!(kind, Some(ElementKind::Source { .. }))
}

/// The shortest way from `start` to a point that `ends`, over the edges that `passes` lets through from a point.
fn walk(
    analysis: &Analysis,
    start: PointId,
    passes: impl Fn(EdgeId, &Edge, PointId) -> bool,
    ends: impl Fn(PointId) -> bool,
) -> Option<Vec<Step>> {
    if ends(start) {
        return Some(Vec::new());
    }
    let mut came: FxHashMap<PointId, Step> = FxHashMap::default();
    let mut waiting = VecDeque::from([start]);
    while let Some(point) = waiting.pop_front() {
        for (edge, item, other) in analysis.network().around(point) {
            if other == start || came.contains_key(&other) || !passes(edge, item, point) {
                continue;
            }
            came.insert(other, Step { edge, point });
            if ends(other) {
                let mut steps = Vec::new();
                let mut at = other;
                while let Some(step) = came.get(&at) {
                    steps.push(Step { edge: step.edge, point: at });
                    at = step.point;
                }
                steps.reverse();
                return Some(steps);
            }
            waiting.push_back(other);
        }
    }
    None
}

/// Names along a way, always from the source's side on.
fn names(analysis: &Analysis, start: PointId, steps: &[Step], direction: Direction) -> Vec<String> {
    if direction == Direction::Return {
        return analysis.network().names(analysis.model(), start, steps);
    }
    let points: Vec<PointId> = std::iter::once(start).chain(steps.iter().map(|step| step.point)).collect();
    let turned: Vec<Step> =
        steps.iter().zip(&points).rev().map(|(step, before)| Step { edge: step.edge, point: *before }).collect();
    let pole = points.last().copied().unwrap_or(start);
    analysis.network().names(analysis.model(), pole, &turned)
}
