//! The way of the current: from a source to a thing and back to that source.
//!
//! Where current flows the ways follow it; where none does they follow what joins, and say so.

use crate::{
    analysis::Analysis,
    electrical::{
        ModeState,
        current_path::{CurrentPath, Direction},
    },
    model::PointId,
    network::{Edge, EdgeId, Step, turned},
    quantity::Ampere,
};

/// Names along the way of the current in `mode`, in its own direction; `None` where it carries none at `start`.
pub(super) fn carried(analysis: &Analysis, mode: &ModeState, start: PointId, direction: Direction) -> Option<Vec<String>> {
    let steps = CurrentPath::new(analysis.network(), mode, direction).way(start);
    let end = steps.last().map_or(start, |step| step.point);
    // A source that delivers is where the way ends: its current comes out of one pole and goes back into the other.
    let delivers = |(id, edge, _): (EdgeId, &Edge, PointId)| {
        edge.role.drives() && pole(edge, direction) == end && mode.working_amps(id, edge) > Ampere::ZERO
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
/// nothing does. Switches count as closed. The way back passes loads, the way to the source does not, and neither passes `own`, the thing
/// that the ways lead to and from.
pub(super) fn joined(analysis: &Analysis, own: Option<EdgeId>, start: PointId, direction: Direction) -> Option<Vec<String>> {
    let passes = |id: EdgeId, edge: &Edge| {
        let leads = edge.role.conducts_when_closed() || (direction == Direction::Return && edge.role.leads_back());
        leads && Some(id) != own
    };
    let ends = |point: PointId| {
        analysis.network().around(point).any(|(_, edge, _)| edge.role.drives() && pole(edge, direction) == point)
    };
    let steps = analysis.network().path(start, ends, passes)?;
    Some(names(analysis, start, &steps, direction))
}

/// Names along a way, always from the source's side on.
fn names(analysis: &Analysis, start: PointId, steps: &[Step], direction: Direction) -> Vec<String> {
    if direction == Direction::Return {
        return analysis.network().names(start, steps);
    }
    let (pole, turned) = turned(start, steps);
    analysis.network().names(pole, &turned)
}
