//! What conductors carry for long: their currents without those of starters, which last for seconds.
//!
//! The current of a starter is followed from its poles to the sources, shared among what flows into (or out of) each point, and taken
//! off. Cost: nothing without a starter; else a walk along its circuit.

use crate::{
    model::{PointId, WireId},
    network::{EdgeId, Network},
    quantity::Ampere,
};
use rustc_hash::FxHashMap;

/// Share of a starter's current at which a branch of its circuit is followed no further.
const LEAST: f64 = 1e-3;
/// Steps of a walk after which it ends: a circuit that branches so often is not a starter's.
const MOST_STEPS: usize = 10_000;

/// What starters take through each wire. `flows` is positive from an edge's first point to its second.
pub(in crate::electrical) fn of_starters(network: &Network, flows: impl Fn(EdgeId) -> Ampere) -> FxHashMap<WireId, Ampere> {
    let model = network.model();
    let mut taken = FxHashMap::default();
    for (id, edge) in network.edges() {
        if !edge.element().is_some_and(|element| model[element].kind.is_starter()) {
            continue;
        }
        let amps = flows(id).get();
        if amps == 0.0 {
            continue;
        }
        let (fed, back) = if amps > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        for (point, inwards) in [(fed, true), (back, false)] {
            follow(network, &flows, (point, id), amps.abs(), inwards, &mut taken);
        }
    }
    taken
}

/// Follows a current from a point against its direction, or with it.
fn follow(
    network: &Network,
    flows: &impl Fn(EdgeId) -> Ampere,
    (start, starter): (PointId, EdgeId),
    amps: f64,
    inwards: bool,
    taken: &mut FxHashMap<WireId, Ampere>,
) {
    let mut waiting = vec![(start, starter, amps)];
    let mut steps = 0;
    while let Some((point, came, carry)) = waiting.pop() {
        steps += 1;
        if steps > MOST_STEPS {
            return;
        }
        let into = |edge: EdgeId| {
            let flow = flows(edge).get();
            let towards = if network[edge].b == point { flow } else { -flow };
            if inwards { towards } else { -towards }
        };
        let branches: Vec<(EdgeId, PointId, f64)> = network
            .around(point)
            .filter(|(edge, _, _)| *edge != came)
            .map(|(edge, _, other)| (edge, other, into(edge)))
            .filter(|(_, _, flow)| *flow > 0.0)
            .collect();
        let total: f64 = branches.iter().map(|(_, _, flow)| flow).sum();
        for (edge, other, flow) in branches {
            let share = (carry * flow / total).min(flow);
            if share < amps * LEAST {
                continue;
            }
            if let Some(wire) = network[edge].wire() {
                *taken.entry(wire).or_default() += Ampere::new(share);
            }
            if !network[edge].role.drives() {
                waiting.push((other, edge, share));
            }
        }
    }
}
