//! Rows of edges with nothing leading off between them: a fuse, its wire, the contacts at its ends, the load behind them.
//!
//! Idea: where the same fault is in a row changes nothing elsewhere: the same current flows through all of it. So one fault of a row is
//! computed, and for the others only the points between the two are moved.

use crate::{
    arena::IdVec,
    model::PointId,
    network::{EdgeId, Network},
};

/// A row: its edges, and its points, one more; the edge at a place joins the points at that place and at the next.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) edges: Vec<EdgeId>,
    pub(super) points: Vec<PointId>,
}

/// All rows of a network.
#[derive(Debug)]
pub(super) struct Rows {
    list: Vec<Row>,
    /// Per edge: its row and its place there; a number beyond the list for one that is in none.
    of: IdVec<EdgeId, (u32, u32)>,
}

/// No row.
const NONE: u32 = u32::MAX;

impl Rows {
    /// The rows of edges that `may` be in one. Cost: a pass over the edges.
    pub(super) fn new(network: &Network, may: impl Fn(EdgeId) -> bool) -> Self {
        // The two edges at a point with nothing else; none elsewhere.
        let pair = |point: PointId| {
            let mut around = network.around(point).map(|(id, _, other)| (id, other));
            let both = (around.next()?, around.next()?);
            (around.next().is_none() && both.0.0 != both.1.0 && may(both.0.0) && may(both.1.0)).then_some(both)
        };
        let mut rows = Self { list: Vec::new(), of: IdVec::of((NONE, 0), network.edge_count()) };
        for (id, edge) in network.edges() {
            if !may(id) || edge.a == edge.b || rows.of[id].0 != NONE {
                continue;
            }
            // To one end, then from there to the other.
            let walk = |from: EdgeId, at: PointId| {
                let (mut edges, mut points) = (vec![from], vec![at]);
                let (mut last, mut at) = (from, at);
                while let Some((one, other)) = pair(at) {
                    let (next, point) = if one.0 == last { other } else { one };
                    // Once round.
                    if next == from {
                        break;
                    }
                    edges.push(next);
                    points.push(point);
                    (last, at) = (next, point);
                }
                (edges, points)
            };
            let (edges, points) = walk(id, edge.a);
            let (last, end) = (edges.last().copied().unwrap_or(id), points.last().copied().unwrap_or(edge.a));
            let begin = other_end(network, last, end);
            let (edges, behind) = walk(last, begin);
            if edges.len() < 2 {
                continue;
            }
            let points: Vec<PointId> = std::iter::once(end).chain(behind).collect();
            for (edge, place) in edges.iter().zip(0..) {
                rows.of[*edge] = (rows.list.len() as u32, place);
            }
            rows.list.push(Row { edges, points });
        }
        rows
    }

    /// The row of an edge, its number, and the place of the edge in it.
    pub(super) fn of(&self, edge: EdgeId) -> Option<(u32, usize)> {
        let (row, place) = self.of[edge];
        (row != NONE).then_some((row, place as usize))
    }

    /// All rows, in the order of their numbers.
    pub(super) fn iter(&self) -> impl Iterator<Item = &Row> {
        self.list.iter()
    }

    /// The row with a number.
    pub(super) fn at(&self, row: u32) -> Option<&Row> {
        self.list.get(row as usize)
    }
}

fn other_end(network: &Network, edge: EdgeId, end: PointId) -> PointId {
    let edge = &network[edge];
    if edge.a == end { edge.b } else { edge.a }
}
