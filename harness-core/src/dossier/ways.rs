//! The way of the current: from a source to a thing and back to that source.
//!
//! Where current flows the ways follow it; where none does they follow what joins, and say so.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{ElementKind, PointId},
    network::{Edge, EdgeId, Step, Terminal},
};
use rustc_hash::FxHashMap;
use std::collections::VecDeque;

/// Current below which an edge carries nothing, in ampere.
const NOTHING: f64 = 1e-6;

/// Which way a walk goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Direction {
    /// Against the current, to the pole that it comes from.
    ToSource,
    /// With the current, to the pole that it goes back to.
    Back,
}

/// Names along the way of the current in `mode`, in its own direction; `None` where it carries none at `start`.
pub(super) fn carried(analysis: &Analysis<'_>, mode: &ModeState, start: PointId, direction: Direction) -> Option<Vec<String>> {
    let flows = |id: EdgeId, edge: &Edge, from: PointId| {
        let amps = mode.amps(id).get();
        let leaving = if from == edge.a { amps } else { -amps };
        match direction {
            Direction::ToSource => leaving < -NOTHING,
            Direction::Back => leaving > NOTHING,
        }
    };
    // A source that delivers is where the way ends: its current comes out of one pole and goes back into the other.
    let ends = |point: PointId| {
        analysis.network.around(point).any(|(id, edge, _)| {
            let pole = match direction {
                Direction::ToSource => edge.b,
                Direction::Back => edge.a,
            };
            is_source(analysis, edge) && pole == point && mode.amps(id).get() > NOTHING
        })
    };
    let passes = |id: EdgeId, edge: &Edge, from: PointId| flows(id, edge, from) && !is_source(analysis, edge);
    let steps = walk(analysis, start, passes, ends)?;
    Some(names(analysis, start, &steps, direction))
}

/// Names along what joins `start` to a pole of a source, in the direction that a current would have; `None` where
/// nothing does. Switches count as closed. The way back passes loads, the way to the source does not.
pub(super) fn joined(analysis: &Analysis<'_>, start: PointId, direction: Direction) -> Option<Vec<String>> {
    let passes = |_: EdgeId, edge: &Edge, _: PointId| match edge.element() {
        None => true,
        Some((_, Terminal::Bar | Terminal::Make | Terminal::Break)) => true,
        Some((_, Terminal::Coil | Terminal::Input | Terminal::Output)) => false,
        Some((element, Terminal::Whole)) => match analysis.model.element(element).map(|item| &item.kind) {
            Some(ElementKind::Load { .. } | ElementKind::Resistor(_)) => direction == Direction::Back,
            Some(ElementKind::Source { .. } | ElementKind::Capacitor(_)) | None => false,
            Some(_) => true,
        },
    };
    let ends = |point: PointId| {
        analysis.network.around(point).any(|(_, edge, _)| {
            let pole = match direction {
                Direction::ToSource => edge.b,
                Direction::Back => edge.a,
            };
            is_source(analysis, edge) && pole == point
        })
    };
    let steps = walk(analysis, start, passes, ends)?;
    Some(names(analysis, start, &steps, direction))
}

pub(super) fn is_source(analysis: &Analysis<'_>, edge: &Edge) -> bool {
    let Some((element, terminal)) = edge.element() else { return false };
    let kind = analysis.model.element(element).map(|item| &item.kind);
    terminal == Terminal::Output || matches!(kind, Some(ElementKind::Source { .. }))
}

/// The shortest way from `start` to a point that `ends`, over the edges that `passes` lets through from a point.
fn walk(
    analysis: &Analysis<'_>,
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
        for (edge, item, other) in analysis.network.around(point) {
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
fn names(analysis: &Analysis<'_>, start: PointId, steps: &[Step], direction: Direction) -> Vec<String> {
    if direction == Direction::Back {
        return analysis.network.names(analysis.model, start, steps);
    }
    let points: Vec<PointId> = std::iter::once(start).chain(steps.iter().map(|step| step.point)).collect();
    let turned: Vec<Step> =
        steps.iter().zip(&points).rev().map(|(step, before)| Step { edge: step.edge, point: *before }).collect();
    let pole = points.last().copied().unwrap_or(start);
    analysis.network.names(analysis.model, pole, &turned)
}
