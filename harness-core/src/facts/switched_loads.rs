//! Whether something is meant to switch a load off.

use crate::{
    arena::IdVec,
    electrical::{
        Electrical, ModeState,
        current_path::{CurrentPath, Direction as Way},
    },
    model::{ModeId, ModeSet, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, Network},
};
use rustc_hash::FxHashMap;

/// Current below which an edge carries nothing.
const NOTHING: f64 = 1e-6;

/// From which points the current, followed to or from a source, passes a switch.
///
/// Cost: a pass over the edges for each mode and direction that is asked for.
#[derive(Debug)]
pub struct SwitchedLoads<'a> {
    network: &'a Network,
    electrical: &'a Electrical,
    /// What a supply joins without any switch.
    permanent: Components,
    passes: FxHashMap<(ModeId, Direction), IdVec<PointId, bool>>,
}

/// How a current is followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Direction {
    Against,
    Along,
}

impl<'a> SwitchedLoads<'a> {
    /// Nothing is followed before it is asked for.
    #[must_use]
    pub fn new(network: &'a Network, electrical: &'a Electrical) -> Self {
        let permanent = network.components(|_, edge| {
            let role = edge.role;
            (role.conducts_when_closed() && !role.is_switched()) || role.drives() || role.holds_back()
        });
        Self { network, electrical, permanent, passes: FxHashMap::default() }
    }

    /// Whether something is meant to switch the load: no way to a source is without a switch, or its current passes one.
    pub fn is_switched(&mut self, load: EdgeId, modes: ModeSet) -> bool {
        let edge = self.network[load];
        if self.permanent.of(edge.a) != self.permanent.of(edge.b) {
            return true;
        }
        let mut running = self.electrical.modes().filter(|mode| modes.has(mode.id));
        let runs = running.find(|mode| mode.amps(load).get().abs() > NOTHING);
        runs.is_some_and(|mode| {
            // The current goes in at one side and comes out at the other.
            let (source, sink) = if mode.amps(load).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
            self.passes_switch(mode, source, Direction::Against) || self.passes_switch(mode, sink, Direction::Along)
        })
    }

    /// Whether every switch that the current of the load passes, in the first mode in which it runs, is closed in `off` too, so that
    /// only the load itself can be what switches it off. One that a resistor alone bridges, as in precharge, counts as closed. `false` for
    /// a load that never runs.
    ///
    /// Cost: a pass over the edges for the mode in which it runs, and one for `off`.
    #[must_use]
    pub fn is_own_feed_closed(&self, load: EdgeId, modes: ModeSet, off: &ModeState) -> bool {
        let (network, edge) = (self.network, self.network[load]);
        let mut running = self.electrical.modes().filter(|mode| modes.has(mode.id));
        let Some(mode) = running.find(|mode| mode.amps(load).get().abs() > NOTHING) else { return false };
        let (source, sink) = if mode.amps(load).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let feed = CurrentPath::new(network, mode, Way::Feed).way(source);
        let back = CurrentPath::new(network, mode, Way::Return).way(sink);
        let joined = |with_resistors: bool| {
            network.components(|id, edge| {
                let passes = edge.role.conducts_when_closed() || (with_resistors && edge.role == EdgeRole::Resistor);
                passes && off.conducts(id)
            })
        };
        let (mut closed, mut through) = (None, None);
        feed.iter().chain(&back).filter(|step| network[step.edge].role.is_switched()).all(|step| {
            let (a, b) = (network[step.edge].a, network[step.edge].b);
            let (closed, through) = (closed.get_or_insert_with(|| joined(false)), through.get_or_insert_with(|| joined(true)));
            off.conducts(step.edge) || (through.of(a) == through.of(b) && closed.of(a) != closed.of(b))
        })
    }

    /// Whether the current that comes to `start`, or leaves it, passes a switch on its way from or to a source.
    fn passes_switch(&mut self, mode: &ModeState, start: PointId, direction: Direction) -> bool {
        let network = self.network;
        self.passes.entry((mode.id, direction)).or_insert_with(|| passing(network, mode, direction))[start]
    }
}

/// For each point whether its current passes a switch: from the switches back to all that lead there.
fn passing(network: &Network, mode: &ModeState, direction: Direction) -> IdVec<PointId, bool> {
    let mut passes = IdVec::of(false, network.point_count());
    let mut waiting: Vec<PointId> = Vec::new();
    // The point from which an edge is entered when the current is followed, and whether it carries any.
    let entered = |id: EdgeId, edge: &Edge| {
        let amps = mode.amps(id).get();
        let (from, to) = if amps > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let passed = edge.role.conducts_when_closed() || edge.role.holds_back();
        (amps.abs() > NOTHING && passed).then_some(match direction {
            Direction::Along => from,
            Direction::Against => to,
        })
    };
    let mut reach = |point: PointId, waiting: &mut Vec<PointId>| {
        if !std::mem::replace(&mut passes[point], true) {
            waiting.push(point);
        }
    };
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched()) {
        if let Some(point) = entered(id, edge) {
            reach(point, &mut waiting);
        }
    }
    while let Some(point) = waiting.pop() {
        for (id, edge, other) in network.around(point) {
            if entered(id, edge) == Some(other) {
                reach(other, &mut waiting);
            }
        }
    }
    passes
}
