//! What fuses and contacts carry of currents that the design gives (`current` of a wire or cable) because no element draws them.
//!
//! The idea: from the poles of all sources a tree of closed conductors is grown. What a wire is said to carry flows through all that is between it and
//! the source, and adds up where branches meet; a wire that only goes on with the current of the one before it is not counted twice. Where conductors
//! form a ring, or two sources feed from both ends, nobody knows how it is shared, and nothing is said.
//!
//! Cost: nothing where no such current is given; else a pass over the network for each mode.

use super::Facts;
use crate::{
    arena::IdVec,
    electrical::{ModeState, conductors::given::GivenBy},
    model::{ModeId, PointId, WireId},
    network::{Edge, EdgeId, Network},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Given currents by the edges that they flow through.
    ///
    /// Asked by what compares currents with the ratings of fuses and contacts.
    #[must_use]
    pub fn given_flow(&self) -> &GivenFlow {
        self.made.given_flow.get_or_init(|| given_flow(self))
    }
}

/// Given currents by the edges that they flow through.
#[derive(Debug, Default)]
pub struct GivenFlow {
    by: FxHashMap<(EdgeId, ModeId), Given>,
    fed: FxHashSet<WireId>,
}

/// A given current in an edge.
#[derive(Debug, Clone, Copy)]
pub struct Given {
    /// The sum.
    pub amps: Ampere,
    /// The wire that gives the largest share of it.
    pub wire: WireId,
}

impl GivenFlow {
    /// What an edge carries of given currents in a mode; `None` where that is nothing or is not known.
    #[must_use]
    pub fn of(&self, edge: EdgeId, mode: ModeId) -> Option<Given> {
        self.by.get(&(edge, mode)).copied()
    }
}

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// The wires that give a current that nothing computes.
fn wires(facts: &Facts) -> FxHashMap<EdgeId, (WireId, Ampere)> {
    let electrical = facts.electrical();
    let is_drawn = |id: EdgeId, edge: &Edge| electrical.modes().any(|mode| mode.working_amps(id, edge).abs().get() > NOTHING);
    let edges = facts.network().edges().filter_map(|(id, edge)| {
        let wire = edge.wire()?;
        let given = electrical.given(wire).filter(|given| matches!(given.by, GivenBy::Design(_)))?;
        (!is_drawn(id, edge)).then_some((id, (wire, given.amps)))
    });
    edges.collect()
}

fn given_flow(facts: &Facts) -> GivenFlow {
    let wires = wires(facts);
    let mut flow = GivenFlow::default();
    if wires.is_empty() {
        return flow;
    }
    let network = facts.network();
    for mode in facts.electrical().modes() {
        let runs = |wire: WireId| facts.electrical().given(wire).is_some_and(|given| given.modes.has(mode.id));
        let given: FxHashMap<EdgeId, (WireId, Ampere)> =
            wires.iter().filter(|(_, (wire, _))| runs(*wire)).map(|(edge, given)| (*edge, *given)).collect();
        let tree = Tree::grown(network, |id, edge| edge.role.conducts_when_closed() && mode.conducts(id), |id| mode.conducts(id));
        tree.add(network, &given, mode.id, &mut flow);
    }
    // What is never switched on in a mode is followed with all contacts closed, in the first mode in which it may run.
    let idle: FxHashMap<EdgeId, (WireId, Ampere)> = wires.into_iter().filter(|(_, (wire, _))| !flow.fed.contains(wire)).collect();
    if let Some(mode) = facts.electrical().modes().map(|mode: &ModeState| mode.id).next().filter(|_| !idle.is_empty()) {
        let tree = Tree::grown(network, |_, edge| edge.role.conducts_when_closed(), |_| true);
        tree.add(network, &idle, mode, &mut flow);
    }
    flow
}

/// What a branch of the tree leads to.
#[derive(Debug, Clone, Copy, Default)]
struct Ends {
    at_open: bool,
    at_box: bool,
}

impl Ends {
    fn or(self, other: Self) -> Self {
        Self { at_open: self.at_open || other.at_open, at_box: self.at_box || other.at_box }
    }
}

/// A tree of closed conductors with the poles of the sources as its roots.
struct Tree {
    /// The points in the order in which they were reached.
    order: Vec<PointId>,
    came: IdVec<PointId, Option<(EdgeId, PointId)>>,
    /// Points whose edge to their parent is in a ring.
    in_ring: IdVec<PointId, bool>,
}

impl Tree {
    fn grown(network: &Network, keep: impl Fn(EdgeId, &Edge) -> bool, is_on: impl Fn(EdgeId) -> bool) -> Self {
        let count = network.point_count();
        let mut seen: IdVec<PointId, bool> = IdVec::of(false, count);
        let mut depth: IdVec<PointId, u32> = IdVec::of(0, count);
        let mut tree = Self { order: Vec::new(), came: IdVec::of(None, count), in_ring: IdVec::of(false, count) };
        for (_, edge) in network.edges().filter(|(id, edge)| edge.role.drives() && is_on(*id)) {
            for pole in [edge.a, edge.b] {
                if !std::mem::replace(&mut seen[pole], true) {
                    tree.order.push(pole);
                }
            }
        }
        let mut rings: Vec<(PointId, PointId)> = Vec::new();
        let mut next = 0;
        while let Some(point) = tree.order.get(next).copied() {
            next += 1;
            for (id, edge, other) in network.around(point) {
                if other == point || !keep(id, edge) || tree.came[point].is_some_and(|(by, _)| by == id) {
                    continue;
                }
                if std::mem::replace(&mut seen[other], true) {
                    // Met once from each side.
                    if point < other && tree.came[other].is_none_or(|(by, _)| by != id) {
                        rings.push((point, other));
                    }
                    continue;
                }
                tree.came[other] = Some((id, point));
                depth[other] = depth[point] + 1;
                tree.order.push(other);
            }
        }
        for (mut one, mut other) in rings {
            while one != other {
                let deeper = if depth[one] >= depth[other] { &mut one } else { &mut other };
                tree.in_ring[*deeper] = true;
                // Two roots are joined: both ways to them are in the ring.
                let Some((_, parent)) = tree.came[*deeper] else { break };
                *deeper = parent;
            }
        }
        tree
    }

    /// What ends at a point: an open contact, or a box of which nothing is drawn there.
    fn ends_at(&self, network: &Network, point: PointId) -> Ends {
        if network.model().device_at(point).is_none() {
            return Ends::default();
        }
        let mut elements = network.around(point).filter(|(_, edge, _)| edge.element().is_some()).peekable();
        let at_box = elements.peek().is_none();
        let is_open = |edge: &Edge, other: PointId| {
            edge.role.is_switched()
                && self.came[other].is_none_or(|(_, from)| from != point)
                && self.came[point].is_none_or(|(_, from)| from != other)
        };
        Ends { at_open: elements.any(|(_, edge, other)| is_open(edge, other)), at_box }
    }

    fn add(&self, network: &Network, given: &FxHashMap<EdgeId, (WireId, Ampere)>, mode: ModeId, flow: &mut GivenFlow) {
        let mut behind: IdVec<PointId, Option<Given>> = IdVec::of(None, network.point_count());
        let mut ends: IdVec<PointId, Ends> = IdVec::of(Ends::default(), network.point_count());
        for point in self.order.iter().rev() {
            let Some((edge, parent)) = self.came[*point] else { continue };
            let here = ends[*point].or(self.ends_at(network, *point));
            ends[parent] = ends[parent].or(here);
            // A wire that leads to open contacts alone carries nothing now.
            let is_idle = here.at_open && !here.at_box;
            let own = given.get(&edge).filter(|_| !is_idle).map(|(wire, amps)| Given { amps: *amps, wire: *wire });
            if let Some(own) = own {
                flow.fed.insert(own.wire);
            }
            // A wire behind another one goes on with its current.
            let carried = match (own, behind[*point]) {
                (Some(own), Some(more)) if more.amps > own.amps => Some(more),
                (Some(own), _) => Some(own),
                (None, more) => more,
            };
            let Some(carried) = carried else { continue };
            if !self.in_ring[*point] {
                flow.by.insert((edge, mode), carried);
            }
            let sum = &mut behind[parent];
            *sum = Some(match *sum {
                None => carried,
                Some(known) => {
                    let wire = if carried.amps > known.amps { carried.wire } else { known.wire };
                    Given { amps: known.amps + carried.amps, wire }
                }
            });
        }
    }
}
