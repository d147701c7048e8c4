//! Where a thing is in the circuit: its nets, and the way of the current through it.

use super::{Net, Way};
use crate::{
    analysis::Analysis,
    electrical::current_path::Direction,
    inspect::{
        ModeRow, Thing,
        modes::{self, main_edge},
        ways,
    },
    model::{PointId, WireId},
    network::EdgeId,
};

pub(super) fn nets(analysis: &Analysis, thing: Thing) -> Vec<Net> {
    let model = analysis.model();
    let points = modes::points(analysis, thing);
    let mut nets: Vec<_> = Vec::new();
    for point in points {
        let net = analysis.network().net(point);
        if !nets.contains(&net) {
            nets.push(net);
        }
    }
    nets.into_iter()
        .map(|net| {
            let members = analysis.network().net_points(net);
            let mut wires: Vec<WireId> = members
                .iter()
                .flat_map(|point| analysis.network().around(*point).filter_map(|(_, edge, _)| edge.wire()))
                .collect();
            wires.sort_unstable();
            wires.dedup();
            let domain = members.first().and_then(|point| analysis.electrical().domains().of(*point));
            Net {
                domain: domain.map(|id| model.text(model[id].name).to_owned()),
                points: members.iter().map(|point| model.point_name(*point)).collect(),
                wires: wires.into_iter().map(|wire| model.wire_name(wire)).collect(),
            }
        })
        .collect()
}

/// The way in that of these modes in which most flows.
pub(super) fn way(analysis: &Analysis, thing: Thing, rows: &[ModeRow]) -> Way {
    if matches!(thing, Thing::Cable(_) | Thing::Pair(_)) {
        return Way::default();
    }
    let edge = main_edge(analysis, thing);
    let points = modes::points(analysis, thing);
    let Some(first) = points.first().copied() else { return Way::default() };
    // Of modes with the same current the first by name.
    let is_worse = |one: &ModeRow, other: &ModeRow| one.amps > other.amps || (one.amps == other.amps && one.mode < other.mode);
    let worst = rows.iter().reduce(|worst, other| if is_worse(other, worst) { other } else { worst });
    let worst = worst.filter(|row| row.amps.get() > 1e-6);
    let mode = worst.and_then(|row| analysis.electrical().in_mode(row.id));
    let (from, to) = edge.map_or((first, first), |edge| ends(analysis, edge, mode.map(|mode| mode.amps(edge).get())));
    // The current of a source begins and ends at its own poles.
    let is_source = edge.is_some_and(|edge| analysis.network()[edge].role.drives());
    if let Some(mode) = mode {
        let feed = if is_source { None } else { ways::carried(analysis, mode, from, Direction::Feed) };
        let back = ways::carried(analysis, mode, to, Direction::Return);
        if feed.is_some() || back.is_some() {
            return Way { mode: Some(analysis.model().mode_name(mode.id).to_owned()), feed, back };
        }
    }
    // Without a current either end can be the one that is fed.
    let sides = [(from, to), (to, from)];
    let joined = |(from, to): (PointId, PointId)| {
        let feed = ways::joined(analysis, edge, from, Direction::Feed)?;
        Some((feed, ways::joined(analysis, edge, to, Direction::Return)))
    };
    match sides.into_iter().filter(|_| !is_source).find_map(joined) {
        Some((feed, back)) => Way { mode: None, feed: Some(feed), back },
        None => Way { mode: None, feed: None, back: ways::joined(analysis, edge, to, Direction::Return) },
    }
}

/// The points of an edge in the direction of its current.
fn ends(analysis: &Analysis, edge: EdgeId, amps: Option<f64>) -> (PointId, PointId) {
    let item = &analysis.network()[edge];
    if amps.is_some_and(|amps| amps < 0.0) { (item.b, item.a) } else { (item.a, item.b) }
}
