//! Whether something is meant to switch a load off.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::{
        Electrical, ModeState,
        current_path::{CurrentPath, Direction as Way},
    },
    model::{ElementKind, ModeId, ModeSet, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, NetId, Network},
};
use rustc_hash::FxHashMap;
use std::cell::OnceCell;

/// Current below which an edge carries nothing.
const NOTHING: f64 = 1e-6;

/// From which points the current, followed to or from a source, passes a switch.
///
/// Cost: a pass over the edges for each mode and direction that is asked for.
#[derive(Debug)]
pub struct SwitchedLoads<'a> {
    network: &'a Network,
    electrical: &'a Electrical,
    /// Switches that metal bridges, or something that is closed in every mode, ascending.
    bypassed: Vec<EdgeId>,
    /// Each load with the switches that its current passes; made when it is first asked for.
    feeds: OnceCell<Vec<(EdgeId, Vec<EdgeId>)>>,
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
    pub fn new(facts: &'a Facts) -> Self {
        let (network, electrical) = (facts.network(), facts.electrical());
        let permanent = network.components(|_, edge| {
            let role = edge.role;
            (role.conducts_when_closed() && !role.is_switched()) || role.drives() || role.holds_back()
        });
        let switched = network.edges().filter(|(_, edge)| edge.role.is_switched());
        let bridged = |id: EdgeId| facts.bridged().iter().any(|one| one.contact == id);
        let bypassed = switched.filter(|(id, edge)| network.net(edge.a) == network.net(edge.b) || bridged(*id));
        let bypassed = bypassed.map(|(id, _)| id).collect();
        Self { network, electrical, bypassed, feeds: OnceCell::new(), permanent, passes: FxHashMap::default() }
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
    /// only the load itself can be what switches it off. One that a resistor alone bridges, as in precharge, counts as closed, and so does one
    /// that metal bridges, which is a fault of its own. `false` for a load that never runs.
    ///
    /// Cost: a pass over the edges for the mode in which it runs, and one for `off`.
    #[must_use]
    pub fn is_own_feed_closed(&self, load: EdgeId, modes: ModeSet, off: &ModeState) -> bool {
        self.feed_switches(load, modes).is_some_and(|switches| {
            let mut joins = Joins::new(self.network, off);
            switches.iter().all(|edge| self.is_bypassed(*edge) || joins.pass(*edge))
        })
    }

    /// Whether metal, or a contact that never opens, bridges a switch that the current of the load passes in the first mode in which it runs, and that is open in `off`.
    #[must_use]
    pub fn has_bypassed_switch(&self, load: EdgeId, modes: ModeSet, off: &ModeState) -> bool {
        let switches = self.feed_switches(load, modes).unwrap_or_default();
        switches.iter().any(|edge| !off.conducts(*edge) && self.is_bypassed(*edge))
    }

    /// The loads whose current passes a switch, or metal beside it, in the first mode in which they run.
    ///
    /// Cost: the first time, a way to and from each load of the design; then a pass over the loads.
    pub fn behind(&self, switch: EdgeId) -> impl Iterator<Item = EdgeId> {
        let feeds = self.feeds.get_or_init(|| {
            let model = self.network.model();
            let loads = self.network.edges().filter_map(|(id, edge)| match model[edge.element()?].kind {
                ElementKind::Load { modes, .. } => Some((id, self.feed_switches(id, modes)?)),
                _ => None,
            });
            loads.collect()
        });
        feeds.iter().filter(move |(_, switches)| switches.contains(&switch)).map(|(load, _)| *load)
    }

    /// The coils whose current passes a switch, or metal beside it, in the first mode in which they have any, each with that mode.
    ///
    /// Cost: a way to and from each coil.
    #[must_use]
    pub fn coils_behind(&self, switch: EdgeId) -> Vec<(EdgeId, ModeId)> {
        let coils = self.network.edges().filter(|(_, edge)| edge.role == EdgeRole::Coil);
        let behind = coils.filter_map(|(id, _)| {
            let mode = self.electrical.modes().find(|mode| mode.conducts(switch) && mode.amps(id).get().abs() > NOTHING)?;
            self.switches_in(id, mode).contains(&switch).then_some((id, mode.id))
        });
        behind.collect()
    }

    fn is_bypassed(&self, id: EdgeId) -> bool {
        self.bypassed.binary_search(&id).is_ok()
    }

    /// The switches that the current of the load passes in the first mode in which it runs; `None` for one that never runs.
    fn feed_switches(&self, load: EdgeId, modes: ModeSet) -> Option<Vec<EdgeId>> {
        let mut running = self.electrical.modes().filter(|mode| modes.has(mode.id));
        let mode = running.find(|mode| mode.amps(load).get().abs() > NOTHING)?;
        Some(self.switches_in(load, mode))
    }

    /// The switches that the current of a load or coil passes in a mode in which it has some, with those that are bridged.
    fn switches_in(&self, load: EdgeId, mode: &ModeState) -> Vec<EdgeId> {
        let (network, edge) = (self.network, self.network[load]);
        let (source, sink) = if mode.amps(load).get() > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let feed = CurrentPath::new(network, mode, Way::Feed).way(source);
        let back = CurrentPath::new(network, mode, Way::Return).way(sink);
        let switched = feed.iter().chain(&back).map(|step| step.edge).filter(|edge| network[*edge].role.is_switched());
        // What bridges a switch carries its current: the switch itself is then beside the way.
        let on_the_way: Vec<NetId> = feed.iter().chain(&back).map(|step| network.net(step.point)).collect();
        let beside = |edge: &Edge| [edge.a, edge.b].iter().all(|point| on_the_way.contains(&network.net(*point)));
        let bypassed = self.bypassed.iter().copied().filter(|id| beside(&network[*id]));
        switched.chain(bypassed).collect()
    }

    /// Whether the current that comes to `start`, or leaves it, passes a switch on its way from or to a source.
    fn passes_switch(&mut self, mode: &ModeState, start: PointId, direction: Direction) -> bool {
        let network = self.network;
        self.passes.entry((mode.id, direction)).or_insert_with(|| passing(network, mode, direction))[start]
    }
}

/// What conductors join in one state, without resistors and with them.
struct Joins<'a> {
    network: &'a Network,
    off: &'a ModeState,
    sorted: Option<[Components; 2]>,
}

impl<'a> Joins<'a> {
    fn new(network: &'a Network, off: &'a ModeState) -> Self {
        Self { network, off, sorted: None }
    }

    /// Whether a switch lets a current through: it is closed, or resistors alone bridge it.
    fn pass(&mut self, switch: EdgeId) -> bool {
        let (network, off) = (self.network, self.off);
        if off.conducts(switch) {
            return true;
        }
        let joined = |with_resistors: bool| {
            network.components(|id, edge| {
                let passes = edge.role.conducts_when_closed() || (with_resistors && edge.role == EdgeRole::Resistor);
                passes && off.conducts(id)
            })
        };
        if self.sorted.is_none() {
            self.sorted = Some([joined(false), joined(true)]);
        }
        let Some([closed, through]) = &self.sorted else { return false };
        let edge = network[switch];
        through.of(edge.a) == through.of(edge.b) && closed.of(edge.a) != closed.of(edge.b)
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
