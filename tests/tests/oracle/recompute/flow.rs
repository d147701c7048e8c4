//! Currents of a mode by one dense matrix for each piece of metal: loads and sources pass what was found, conductors share it by
//! their resistance.

use harness_core::{
    Analysis,
    internals::{
        circuit::BranchKind,
        electrical::{self, ModeState},
        model::ElementKind,
        network::EdgeKind,
    },
};
use nalgebra::{DMatrix, DVector};

/// A piece that passes current by its resistance.
struct Piece {
    a: usize,
    b: usize,
    ohms: f64,
    wire: Option<usize>,
}

pub struct Flow {
    pieces: Vec<Piece>,
    /// What flows into each point from elsewhere.
    into: Vec<f64>,
    wires: usize,
}

/// Who belongs together, as the smallest of them.
pub fn groups(points: usize, joined: impl Iterator<Item = (usize, usize)>) -> Vec<usize> {
    let mut of: Vec<usize> = (0..points).collect();
    fn top(of: &mut [usize], mut point: usize) -> usize {
        while of[point] != point {
            of[point] = of[of[point]];
            point = of[point];
        }
        point
    }
    for (a, b) in joined {
        let (a, b) = (top(&mut of, a), top(&mut of, b));
        of[a.max(b)] = a.min(b);
    }
    (0..points).map(|point| top(&mut of, point)).collect()
}

impl Flow {
    pub fn new(analysis: &Analysis, mode: &ModeState) -> Self {
        let (model, network) = (analysis.model(), analysis.network());
        let circuit = electrical::circuits(network, &[mode.id]).remove(0);
        let mut flow = Self { pieces: Vec::new(), into: vec![0.0; network.point_count()], wires: model.wires().len() };
        let mut passing: Vec<(usize, usize, f64, bool)> = Vec::new();
        let mut starters = Vec::new();
        for ((id, edge), branch) in network.edges().zip(&circuit.branches) {
            let (a, b) = (edge.a.index(), edge.b.index());
            let ohms = match branch.kind {
                BranchKind::Resistance(ohms) => Some(ohms.get()),
                BranchKind::RelayContact { resistance, .. } if mode.conducts(id) => Some(resistance.get()),
                _ => None,
            };
            match (edge.kind, ohms) {
                (EdgeKind::Wire(wire), Some(ohms)) => flow.pieces.push(Piece { a, b, ohms, wire: Some(wire.index()) }),
                (_, Some(ohms)) => flow.pieces.push(Piece { a, b, ohms, wire: None }),
                (EdgeKind::Element(element), None) => {
                    let amps = mode.amps(id).get();
                    if model[element].kind.is_starter() {
                        starters.push(amps);
                    } else {
                        passing.push((a, b, amps, matches!(model[element].kind, ElementKind::Source { .. })));
                    }
                }
                (_, None) => {}
            }
        }
        // A starter runs for seconds: it and the battery that gives about its current count without it.
        for starter in starters.into_iter().filter(|amps| *amps != 0.0) {
            let sources = passing.iter_mut().filter(|(.., is_source)| *is_source);
            let battery =
                sources.min_by(|a, b| (a.2.abs() - starter.abs()).abs().total_cmp(&(b.2.abs() - starter.abs()).abs())).unwrap();
            battery.2 -= battery.2.signum() * starter.abs();
        }
        for (a, b, amps, _) in passing {
            flow.into[a] -= amps;
            flow.into[b] += amps;
        }
        flow
    }

    /// The current of every wire, where `warm` is its resistance over that in its air.
    pub fn solve(&self, warm: impl Fn(usize) -> f64) -> Vec<f64> {
        let ohms = |piece: &Piece| piece.ohms * piece.wire.map_or(1.0, &warm);
        let of = groups(self.into.len(), self.pieces.iter().map(|piece| (piece.a, piece.b)));
        let mut places = vec![0; of.len()];
        let mut members: std::collections::BTreeMap<usize, Vec<usize>> = std::collections::BTreeMap::new();
        for (point, group) in of.iter().enumerate() {
            let group = members.entry(*group).or_default();
            places[point] = group.len();
            group.push(point);
        }
        let mut volts = vec![0.0; of.len()];
        for (group, points) in members.iter().filter(|(_, points)| points.len() > 1) {
            // The first point is zero volt.
            let most = points.len() - 1;
            let mut matrix = DMatrix::<f64>::zeros(most, most);
            for piece in self.pieces.iter().filter(|piece| of[piece.a] == *group && piece.a != piece.b) {
                let (a, b, g) = (places[piece.a], places[piece.b], 1.0 / ohms(piece));
                for (row, column, value) in [(a, a, g), (b, b, g), (a, b, -g), (b, a, -g)] {
                    if row > 0 && column > 0 {
                        matrix[(row - 1, column - 1)] += value;
                    }
                }
            }
            let into = DVector::from_iterator(most, points.iter().skip(1).map(|point| self.into[*point]));
            let found = matrix.cholesky().expect("metal conducts").solve(&into);
            points.iter().skip(1).zip(found.iter()).for_each(|(point, at)| volts[*point] = *at);
        }
        let mut amps = vec![0.0; self.wires];
        for piece in &self.pieces {
            if let Some(wire) = piece.wire {
                amps[wire] = ((volts[piece.a] - volts[piece.b]) / ohms(piece)).abs();
            }
        }
        amps
    }
}

/// The wires that closed contacts and fuses join to the positive pole of a source that is on.
pub fn live(analysis: &Analysis, mode: &ModeState) -> Vec<bool> {
    let (model, network) = (analysis.model(), analysis.network());
    let joins = |kind: EdgeKind| match kind {
        EdgeKind::Element(element) => !matches!(
            model[element].kind,
            ElementKind::Source { .. }
                | ElementKind::Load { .. }
                | ElementKind::Converter { .. }
                | ElementKind::Resistor(_)
                | ElementKind::Capacitor(_)
        ),
        _ => true,
    };
    // The coil of a relay is the edge of its first two points.
    let is_coil = |kind: EdgeKind, a: usize, b: usize| match kind {
        EdgeKind::Element(element) => match model[element].kind {
            ElementKind::Relay { .. } => {
                let coil: Vec<usize> = model[element].points.iter().take(2).map(|point| point.index()).collect();
                coil == [a, b] || coil == [b, a]
            }
            _ => false,
        },
        _ => false,
    };
    let closed = network
        .edges()
        .filter(|(id, edge)| mode.conducts(*id) && joins(edge.kind) && !is_coil(edge.kind, edge.a.index(), edge.b.index()));
    let of = groups(network.point_count(), closed.map(|(_, edge)| (edge.a.index(), edge.b.index())));
    let mut live = vec![false; network.point_count()];
    for (id, edge) in network.edges().filter(|(id, edge)| edge.role.drives() && mode.conducts(*id)) {
        let _ = id;
        live[of[edge.b.index()]] = true;
    }
    let is_live = |point: Option<harness_core::internals::model::PointId>| point.is_some_and(|point| live[of[point.index()]]);
    model.wires().map(|(_, wire)| is_live(wire.from) || is_live(wire.to)).collect()
}
