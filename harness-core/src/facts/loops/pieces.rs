//! Conductors cut at every interlock bridge, and the bridges between them.

use super::closes;
use crate::{
    electrical::{ModeState, what_if::Change},
    facts::{Facts, pins::points_of_elements, reach::device_at},
    model::{DeviceId, ElementId, Model, PointId, PointKind, PortKind},
    network::{Components, Edge, EdgeId, GroupId, NetId, Network, Step},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// What opening a bridge by itself leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// Its two sides are still joined.
    Ring,
    /// Both its sides are at a pole of a source or at the chassis.
    FedFromBoth,
    /// At most one side is.
    Cut,
    /// It is in no closed loop.
    Open,
}

/// Conductors cut at every interlock bridge, in one mode.
pub(super) struct Pieces<'a> {
    network: &'a Network,
    mode: &'a ModeState,
    pub(super) bridges: Vec<EdgeId>,
    /// Per point: the piece that it is in.
    pub(super) of: Components,
    /// For each piece the bridges at it with the piece on their other side.
    around: FxHashMap<GroupId, Vec<(EdgeId, GroupId)>>,
    /// Pieces at a pole of a source or at the chassis.
    stiff: FxHashSet<GroupId>,
    poles: FxHashSet<PointId>,
    /// Per bridge: whether it is part of a ring of all that conducts.
    rings: FxHashSet<EdgeId>,
    /// Pins of the loop at a device of which nothing is drawn at them: what watches the loop.
    pub(super) watching: Vec<PointId>,
}

impl<'a> Pieces<'a> {
    pub(super) fn new(facts: &'a Facts, mode: &'a ModeState, bridges: &[EdgeId]) -> Self {
        let (model, network) = (facts.model(), facts.network());
        let bridges: Vec<EdgeId> = bridges.iter().copied().filter(|bridge| mode.conducts(*bridge)).collect();
        let is_bridge: FxHashSet<EdgeId> = bridges.iter().copied().collect();
        let of = network.components(|id, edge| passes(mode, id, edge) && !is_bridge.contains(&id));
        let mut around: FxHashMap<GroupId, Vec<(EdgeId, GroupId)>> = FxHashMap::default();
        for bridge in &bridges {
            let (a, b) = (of.of(network[*bridge].a), of.of(network[*bridge].b));
            around.entry(a).or_default().push((*bridge, b));
            around.entry(b).or_default().push((*bridge, a));
        }
        let ends = network.edges().filter(|(id, edge)| edge.role.drives() && mode.conducts(*id));
        let mut poles: FxHashSet<PointId> = ends.flat_map(|(_, edge)| [edge.a, edge.b]).collect();
        let chassis = model.devices().filter(|(_, device)| device.chassis && device.fitted);
        poles.extend(chassis.flat_map(|(_, device)| model.points_of(device)));
        let stiff = poles.iter().map(|pole| of.of(*pole)).collect();
        let drawn = points_of_elements(model);
        // Two pins of the loop beside contacts of class B are those of a box that closes the loop inside; all others watch it.
        let (mut watching, mut inside): (Vec<PointId>, FxHashMap<_, Vec<PointId>>) = Default::default();
        for (point, item) in model.points() {
            let PointKind::Pin(port) = item.kind else { continue };
            let is_used = network.around(point).next().is_some() && !drawn[point];
            // A pin without a role may watch: that nobody says so makes no loop open.
            let watches = matches!(model.role_at(point), Some(Role::Interlock | Role::Input) | None) && is_used;
            if !watches {
                continue;
            }
            let domains = facts.electrical().domains();
            let own = |point: PointId| !is_loop_pin(model, point) && domains.of(point).is_some_and(|at| model[at].is_class_b());
            if !model[port].points.iter().any(own) {
                watching.push(point);
            } else if is_loop_pin(model, point) {
                inside.entry(port).or_default().push(point);
            }
        }
        let mut joints: Vec<[PointId; 2]> =
            inside.values().flat_map(|pins| pins.windows(2)).filter_map(|pair| pair.try_into().ok()).collect();
        // What is outside the drawing joins its pins and the sources.
        let outside: Vec<PointId> = watching.iter().chain(&poles).copied().collect();
        joints.extend(outside.windows(2).filter_map(|pair| <[PointId; 2]>::try_from(pair).ok()));
        joints.sort_unstable();
        let rings = rings(network, |id, edge| passes(mode, id, edge) || (mode.conducts(id) && edge.role.is_galvanic()), &joints);
        Self { network, mode, bridges, of, around, stiff, poles, rings, watching }
    }

    /// Whether a loop goes on over an edge.
    pub(super) fn leads(&self, id: EdgeId, edge: &Edge) -> bool {
        passes(self.mode, id, edge) || self.bridges.binary_search(&id).is_ok()
    }

    /// Whether a point is a pole of a source or of the chassis.
    pub(super) fn is_pole(&self, point: PointId) -> bool {
        self.poles.contains(&point)
    }

    /// Whether a bridge is part of a ring of all that conducts: of a closed loop.
    pub(super) fn is_in_ring(&self, bridge: EdgeId) -> bool {
        self.rings.contains(&bridge)
    }

    /// Whether a wire leads to either side of a bridge: one without any is in no loop, which other rules see.
    pub(super) fn is_wired(&self, bridge: EdgeId) -> bool {
        let edge = self.network[bridge];
        let pieces = [edge.a, edge.b].map(|point| self.of.members(self.of.of(point)));
        pieces.into_iter().flatten().any(|point| self.network.around(*point).any(|(_, edge, _)| edge.wire().is_some()))
    }

    /// The pieces that one point of a bridge is joined to without it.
    pub(super) fn side(&self, point: PointId, without: EdgeId) -> FxHashSet<GroupId> {
        let first = self.of.of(point);
        let mut side: FxHashSet<GroupId> = [first].into_iter().collect();
        let mut waiting = vec![first];
        while let Some(piece) = waiting.pop() {
            for (bridge, other) in self.around.get(&piece).into_iter().flatten() {
                if *bridge != without && side.insert(*other) {
                    waiting.push(*other);
                }
            }
        }
        side
    }

    /// What opening a bridge by itself leaves.
    pub(super) fn reach(&self, bridge: EdgeId) -> Reach {
        let edge = self.network[bridge];
        let side = self.side(edge.a, bridge);
        if side.contains(&self.of.of(edge.b)) {
            return Reach::Ring;
        }
        if !self.is_in_ring(bridge) {
            return Reach::Open;
        }
        let is_stiff = |side: &FxHashSet<GroupId>| side.iter().any(|piece| self.stiff.contains(piece));
        if is_stiff(&side) && is_stiff(&self.side(edge.b, bridge)) { Reach::FedFromBoth } else { Reach::Cut }
    }

    /// The sides of a bridge that no pole is in: what must be dead once it is open.
    pub(super) fn soft_sides(&self, bridge: EdgeId) -> Vec<FxHashSet<GroupId>> {
        let edge = self.network[bridge];
        let sides = [edge.a, edge.b].map(|point| self.side(point, bridge));
        sides.into_iter().filter(|side| !side.iter().any(|piece| self.stiff.contains(piece))).collect()
    }

    /// The pieces of the loop of a bridge that are at no pole.
    pub(super) fn loop_of(&self, bridge: EdgeId) -> FxHashSet<GroupId> {
        let edge = self.network[bridge];
        let sides = [edge.a, edge.b].map(|point| self.side(point, bridge));
        sides.into_iter().flatten().filter(|piece| !self.stiff.contains(piece)).collect()
    }

    /// Edges other than conductors, at the points of these pieces, with the mode's current in them.
    pub(super) fn hanging(&self, side: &FxHashSet<GroupId>) -> Vec<EdgeId> {
        let network = self.network;
        let is_in = |point: PointId| side.contains(&self.of.of(point));
        let hangs = |id: EdgeId, edge: &Edge| self.mode.conducts(id) && !passes(self.mode, id, edge) && edge.role.is_galvanic();
        let edges = network.edges().filter(|(id, edge)| hangs(*id, edge) && is_in(edge.a) != is_in(edge.b));
        edges.map(|(id, _)| id).filter(|id| self.bridges.binary_search(id).is_err()).collect()
    }

    /// Whether current still flows behind a bridge that is open: another feed than the loop's keeps it up.
    pub(super) fn stays_alive(&self, facts: &Facts, mode: &ModeState, bridge: EdgeId) -> bool {
        let sides = self.soft_sides(bridge);
        // What hangs on a dead side alone has no way back.
        let hanging: Vec<Vec<EdgeId>> = sides.iter().map(|side| self.hanging(side)).filter(|edges| edges.len() > 1).collect();
        if hanging.is_empty() {
            return false;
        }
        let Some(state) = facts.electrical().altered(mode.id, &[Change::Open(bridge)]) else { return false };
        let flows = |id: &EdgeId| {
            let (before, after) = (mode.amps(*id).get().abs(), state.amps(*id).get().abs());
            before > LEAST && after > ALIVE * before
        };
        // A side that had no current before shows nothing.
        hanging.iter().any(|edges| edges.iter().any(flows))
    }

    /// The device at which a loop begins and ends, at pins of which nothing is drawn, where the loop is also at a pole of a source.
    pub(super) fn tied_controller(&self, facts: &Facts, bridge: EdgeId) -> Option<DeviceId> {
        let edge = self.network[bridge];
        let sides = [edge.a, edge.b].map(|point| self.side(point, bridge));
        let is_interlock = |point: &PointId| facts.model().role_at(*point) == Some(Role::Interlock);
        let ends = sides.each_ref().map(|side| {
            let mut pins = self.watching.iter().filter(|pin| side.contains(&self.of.of(**pin)));
            pins.find(|pin| is_interlock(pin)).and_then(|pin| device_at(facts, *pin))
        });
        let is_stiff = sides.iter().flatten().any(|piece| self.stiff.contains(piece));
        match ends {
            [Some(one), Some(other)] if one == other && is_stiff => Some(one),
            _ => None,
        }
    }

    /// Of a way around a bridge the part that no bridge is in and that leaves the loop at both its ends; else the longest that leaves it at one.
    pub(super) fn without_loop(&self, start: PointId, way: &[Step]) -> (PointId, Vec<Step>) {
        let is_bridge = |step: &Step| self.bridges.binary_search(&step.edge).is_ok();
        let branches = |point: PointId| self.network.around(point).filter(|(id, edge, _)| self.leads(*id, edge)).count() > 2;
        // Runs without a bridge, each cut where the loop branches, with how many of its ends are branches.
        let mut runs: Vec<(usize, PointId, Vec<Step>)> = Vec::new();
        let (mut from, mut run, mut ends): (PointId, Vec<Step>, usize) = (start, Vec::new(), usize::from(branches(start)));
        for step in way {
            if is_bridge(step) {
                runs.push((ends, from, std::mem::take(&mut run)));
                (from, ends) = (step.point, usize::from(branches(step.point)));
                continue;
            }
            run.push(*step);
            if branches(step.point) {
                runs.push((ends + 1, from, std::mem::take(&mut run)));
                (from, ends) = (step.point, 1);
            }
        }
        runs.push((ends, from, run));
        let is_way = |(ends, _, run): &&(usize, PointId, Vec<Step>)| *ends > 0 && !run.is_empty();
        let best = runs.iter().filter(is_way).max_by_key(|(ends, _, run)| (*ends, run.len()));
        best.map_or_else(|| (start, way.to_vec()), |(_, from, run)| (*from, run.clone()))
    }

    /// Whether a closed bridge carries nothing while others of its loop, or the pins at its ends, carry a current: something else feeds them.
    pub(super) fn is_passed_by(&self, facts: &Facts, bridge: EdgeId) -> bool {
        let own = self.mode.amps(bridge).get().abs();
        let edge = self.network[bridge];
        let pieces: FxHashSet<GroupId> = [edge.a, edge.b].iter().flat_map(|point| self.side(*point, bridge)).collect();
        let is_in = |point: PointId| pieces.contains(&self.of.of(point));
        let is_end = |point: PointId| facts.model().role_at(point) == Some(Role::Interlock) && is_in(point);
        let at_ends = self.network.edges().filter(|(id, edge)| {
            self.mode.conducts(*id) && !passes(self.mode, *id, edge) && !edge.role.drives() && (is_end(edge.a) || is_end(edge.b))
        });
        let bridges = self.bridges.iter().copied().filter(|other| is_in(self.network[*other].a));
        let most = at_ends.map(|(id, _)| id).chain(bridges).map(|id| self.mode.amps(id).get().abs()).fold(0.0, f64::max);
        most > LEAST && own < PASSED * most
    }

    /// Where the loop of open bridges ends at nothing, and the contacts that would lead on from there.
    pub(super) fn dead_ends(&self, facts: &Facts, open: &[EdgeId]) -> (Vec<PointId>, Vec<ElementId>) {
        let network = self.network;
        let ends = open.iter().flat_map(|bridge| [network[*bridge].a, network[*bridge].b]);
        let mut pieces: Vec<GroupId> = ends.map(|point| self.of.of(point)).collect();
        pieces.sort_unstable();
        pieces.dedup();
        let watching: FxHashSet<PointId> = self.watching.iter().copied().collect();
        let closed = |id: EdgeId, edge: &Edge| self.mode.conducts(id) || passes(self.mode, id, edge);
        let (mut dead, mut by): (Vec<PointId>, Vec<ElementId>) = (Vec::new(), Vec::new());
        for piece in pieces.into_iter().filter(|piece| !self.stiff.contains(piece)) {
            for point in self.of.members(piece) {
                let leading = network.around(*point).filter(|(id, edge, _)| closed(*id, edge)).count();
                let gaps =
                    network.around(*point).filter(|(id, edge, _)| !closed(*id, edge)).filter_map(|(_, edge, _)| edge.element());
                let gaps: Vec<ElementId> = gaps.filter(|element| closes(facts, *element)).collect();
                if leading <= 1 && !watching.contains(point) {
                    dead.push(*point);
                }
                for gap in gaps {
                    if !by.contains(&gap) {
                        by.push(gap);
                    }
                }
            }
        }
        (dead, by)
    }
}

/// Whether a pin belongs to a loop: by its role, or as an interlock contact of its housing.
pub(in crate::facts) fn is_loop_pin(model: &Model, point: PointId) -> bool {
    let PointKind::Pin(port) = model[point].kind else { return false };
    let of_housing = match model[port].kind {
        PortKind::Connector(Some(housing)) => model[housing].interlock.contains(&model[point].label),
        PortKind::Connector(None) | PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => false,
    };
    of_housing || model.role_at(point) == Some(Role::Interlock)
}

/// Current in A from which a side counts as alive.
const LEAST: f64 = 1e-6;
/// Share of the current that flowed before, from which it counts as still there.
const ALIVE: f64 = 0.1;

/// Share of the largest current of a loop below which a bridge carries none of it.
const PASSED: f64 = 0.01;

/// Whether a loop goes on over an edge other than a bridge. A diode counts: nothing flows where the watching end is not drawn.
fn passes(mode: &ModeState, id: EdgeId, edge: &Edge) -> bool {
    edge.role.conducts_when_closed() && (mode.conducts(id) || edge.role.is_one_way())
}

/// The edges that are part of a ring of what `keep` takes, with `joints` as further edges. Cost: linear.
///
/// By depth-first search: an edge that no later edge leads back over is part of no ring.
fn rings(network: &Network, keep: impl Fn(EdgeId, &Edge) -> bool, joints: &[[PointId; 2]]) -> FxHashSet<EdgeId> {
    let count = network.point_count();
    let mut joined: FxHashMap<PointId, Vec<(usize, PointId)>> = FxHashMap::default();
    for (at, [a, b]) in joints.iter().enumerate() {
        joined.entry(*a).or_default().push((at, *b));
        joined.entry(*b).or_default().push((at, *a));
    }
    let first_joint = network.edge_count();
    let around = |point: PointId| -> Vec<(usize, PointId)> {
        let own = network.around(point).filter(|(id, edge, _)| edge.a != edge.b && keep(*id, edge));
        let joints = joined.get(&point).into_iter().flatten().map(|(at, other)| (first_joint + at, *other));
        own.map(|(id, _, other)| (id.index(), other)).chain(joints).collect()
    };
    // The tree edges by which points were come to, in the order of the search.
    let mut order: Vec<Option<u32>> = vec![None; count];
    let mut low: Vec<u32> = vec![0; count];
    let mut next = 0_u32;
    let mut found: FxHashSet<EdgeId> = FxHashSet::default();
    let mut cut: FxHashSet<usize> = FxHashSet::default();
    for start in (0..count).map(PointId::from_index) {
        if order.get(start.index()).copied().flatten().is_some() {
            continue;
        }
        enter(&mut order, &mut low, start, &mut next);
        // A point, the edge by which it was come to, the edges around it, and how many of them are done.
        let mut stack = vec![(start, usize::MAX, around(start), 0_usize)];
        while let Some((point, by, edges, at)) = stack.last_mut() {
            let Some((edge, other)) = edges.get(*at).copied() else {
                let (point, by) = (*point, *by);
                stack.pop();
                if let Some((parent, ..)) = stack.last() {
                    let own = low.get(point.index()).copied().unwrap_or(0);
                    if let Some(slot) = low.get_mut(parent.index()) {
                        *slot = (*slot).min(own);
                    }
                    if order.get(parent.index()).copied().flatten().is_some_and(|order| own > order) {
                        cut.insert(by);
                    }
                }
                continue;
            };
            *at += 1;
            if edge == *by {
                continue;
            }
            match order.get(other.index()).copied().flatten() {
                Some(seen) => {
                    if let Some(slot) = low.get_mut(point.index()) {
                        *slot = (*slot).min(seen);
                    }
                }
                None => {
                    enter(&mut order, &mut low, other, &mut next);
                    stack.push((other, edge, around(other), 0));
                }
            }
        }
    }
    found.extend(
        network.edges().filter(|(id, edge)| edge.a != edge.b && keep(*id, edge) && !cut.contains(&id.index())).map(|(id, _)| id),
    );
    found
}

fn enter(order: &mut [Option<u32>], low: &mut [u32], point: PointId, next: &mut u32) {
    if let (Some(order), Some(low)) = (order.get_mut(point.index()), low.get_mut(point.index())) {
        (*order, *low) = (Some(*next), *next);
    }
    *next += 1;
}

/// Whether one device reports something to the other: a net of plain metal, at no pole, from an output of the one to an input of the other, or a bus.
pub(super) fn shares_signal(facts: &Facts, pieces: &Pieces<'_>, one: DeviceId, other: DeviceId) -> bool {
    let (model, network) = (facts.model(), facts.network());
    let nets = |device: DeviceId, sends: bool| -> FxHashSet<NetId> {
        let takes_part = |point: &PointId| match model.role_at(*point) {
            Some(Role::Bidirectional | Role::CanHigh | Role::CanLow | Role::Lin) => true,
            Some(Role::Output) => sends,
            Some(Role::Input) => !sends,
            _ => false,
        };
        let points = model.points_of(&model[device]).filter(takes_part);
        points.filter(|point| !pieces.stiff.contains(&pieces.of.of(*point))).map(|point| network.net(point)).collect()
    };
    !nets(one, true).is_disjoint(&nets(other, false))
}
