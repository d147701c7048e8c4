//! What conductors carry for long: their currents without those of starters, which last for seconds, and without those that a fuse ends.
//!
//! The current of a starter, or of a fuse that is sure to open at it within minutes, is followed to the sources, shared among what flows into (or
//! out of) each point, and taken off. Of two fuses in one current the one that opens first ends it for both. Cost: nothing without such
//! currents; else a walk along their circuits.

use crate::{
    electrical::fuses::fuse::{curve_of, kind_of},
    model::{PointId, WireId},
    network::{EdgeId, Network},
    quantity::Ampere,
};
use rustc_hash::FxHashMap;

/// Share of a current at which a branch of its circuit is followed no further.
const LEAST: f64 = 1e-3;
/// Steps of a walk after which it ends: a circuit that branches so often is followed no further.
const MOST_STEPS: usize = 10_000;
/// Within so many seconds a fuse ends a current before that has warmed a bundle. Common practice, no source.
const SOON: f64 = 600.0;

/// Currents that do not last.
#[derive(Debug, Clone, Default)]
pub(in crate::electrical) struct Passing {
    starters: FxHashMap<WireId, Ampere>,
    opened: FxHashMap<WireId, Ampere>,
}

impl Passing {
    /// Those in `flows`, which is positive from an edge's first point to its second.
    pub(in crate::electrical) fn new(network: &Network, flows: impl Fn(EdgeId) -> Ampere) -> Self {
        Self { starters: of_starters(network, &flows), opened: of_fuses(network, &flows) }
    }

    /// What starters take through a wire.
    pub(in crate::electrical) fn of_starters(&self, wire: WireId) -> Ampere {
        self.starters.get(&wire).copied().unwrap_or_default()
    }

    /// Whether a starter turns.
    pub(in crate::electrical) fn starts(&self) -> bool {
        self.starters.values().any(|amps| *amps > Ampere::ZERO)
    }

    /// What fuses end in a wire.
    pub(in crate::electrical) fn of_fuses(&self, wire: WireId) -> Ampere {
        self.opened.get(&wire).copied().unwrap_or_default()
    }

    /// All that does not last in a wire.
    pub(in crate::electrical) fn of(&self, wire: WireId) -> Ampere {
        self.of_starters(wire) + self.of_fuses(wire)
    }
}

fn of_starters(network: &Network, flows: &impl Fn(EdgeId) -> Ampere) -> FxHashMap<WireId, Ampere> {
    let model = network.model();
    let mut taken = FxHashMap::default();
    for (id, edge) in network.edges() {
        if edge.element().is_some_and(|element| model[element].kind.is_starter()) {
            take(network, flows, id, flows(id).get(), &mut taken);
        }
    }
    in_wires(network, taken)
}

/// What fuses end, the one that opens soonest first.
fn of_fuses(network: &Network, flows: &impl Fn(EdgeId) -> Ampere) -> FxHashMap<WireId, Ampere> {
    let model = network.model();
    let opens = |id: EdgeId, amps: f64| {
        let kind = kind_of(model, network[id].element()?)?;
        if amps <= kind.rating?.value.get() {
            return None;
        }
        let time = curve_of(model, kind)?.slowest(Ampere::new(amps))?.time.get();
        (time <= SOON).then_some(time)
    };
    let fuses = network.edges().filter(|(_, edge)| edge.role.is_fuse());
    let mut opening: Vec<(f64, EdgeId)> = fuses.filter_map(|(id, _)| Some((opens(id, flows(id).get().abs())?, id))).collect();
    opening.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut taken: FxHashMap<EdgeId, Ampere> = FxHashMap::default();
    for (_, id) in opening {
        // What another fuse has ended already does not flow here any more.
        let own = flows(id).get();
        let left = own.abs() - taken.get(&id).copied().unwrap_or_default().get();
        if opens(id, left).is_some() {
            take(network, flows, id, own.signum() * left, &mut taken);
        }
    }
    in_wires(network, taken)
}

fn in_wires(network: &Network, taken: FxHashMap<EdgeId, Ampere>) -> FxHashMap<WireId, Ampere> {
    taken.into_iter().filter_map(|(edge, amps)| Some((network[edge].wire()?, amps))).collect()
}

/// Takes a current off all that it flows through, from an edge to both sides.
fn take(network: &Network, flows: &impl Fn(EdgeId) -> Ampere, id: EdgeId, amps: f64, taken: &mut FxHashMap<EdgeId, Ampere>) {
    if amps == 0.0 {
        return;
    }
    let edge = &network[id];
    let (fed, back) = if amps > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
    for (point, inwards) in [(fed, true), (back, false)] {
        follow(network, flows, (point, id), amps.abs(), inwards, taken);
    }
}

/// Follows a current from a point against its direction, or with it.
fn follow(
    network: &Network,
    flows: &impl Fn(EdgeId) -> Ampere,
    (start, from): (PointId, EdgeId),
    amps: f64,
    inwards: bool,
    taken: &mut FxHashMap<EdgeId, Ampere>,
) {
    let mut waiting = vec![(start, from, amps)];
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
            *taken.entry(edge).or_default() += Ampere::new(share);
            // A battery on charge passes on what a charger gives.
            let gives = network[edge].role.drives() && flows(edge) > Ampere::ZERO;
            if !gives {
                waiting.push((other, edge, share));
            }
        }
    }
}
