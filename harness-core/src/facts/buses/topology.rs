//! The shape of a bus: its trunk between two terminators, its stubs, rings in it.
//!
//! The idea: what joins without a length (contacts, joints, bars inside a node) is one place; wires join places. The trunk is the way
//! between the two terminators that are furthest apart, a stub what is beside it.

use super::{Bus, Lines, Termination};
use crate::{
    facts::Facts,
    model::{PointId, WireId},
    quantity::Metre,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

/// A bus that leads back to itself.
#[derive(Debug, Clone)]
pub struct Ring {
    /// The wire that closes it.
    pub wire: WireId,
    /// All wires of it, that one first.
    pub wires: Vec<WireId>,
}

/// The way between the two terminators that are furthest apart.
#[derive(Debug, Clone, Copy)]
pub struct Trunk {
    /// The terminators, by their places in the [`Termination`].
    pub ends: [usize; 2],
    /// Its length.
    pub length: Metre,
}

/// A node beside the trunk.
#[derive(Debug, Clone)]
pub struct Stub {
    /// The node, by its place in the bus.
    pub node: usize,
    /// From the trunk to it.
    pub length: Metre,
    /// It goes on from one end of the trunk, so that the terminator there is not at the end of the bus.
    pub beyond: Option<usize>,
    /// Its wires, from the node on.
    pub wires: Vec<WireId>,
}

/// The shape of a bus.
#[derive(Debug, Clone, Default)]
pub struct Shape {
    /// The first ring.
    pub ring: Option<Ring>,
    /// Its trunk; `None` where it has not two terminators, or is a ring.
    pub trunk: Option<Trunk>,
    /// Its stubs, the longest first; none without a trunk.
    pub stubs: Vec<Stub>,
    /// The length of all its wires.
    pub length: Metre,
    /// Wires without a length: then no length is judged.
    pub unmeasured: Vec<WireId>,
}

/// A wire between two places.
#[derive(Debug, Clone, Copy)]
struct Run {
    wire: WireId,
    ends: [usize; 2],
    length: f64,
}

struct Places {
    sets: UnionFind<usize>,
    number: FxHashMap<PointId, usize>,
}

impl Places {
    fn of(&self, point: PointId) -> Option<usize> {
        self.number.get(&point).map(|number| self.sets.find(*number))
    }
}

/// The shape of a bus.
pub(super) fn shape(facts: &Facts, bus: &Bus, ends: &Termination) -> Shape {
    let (places, runs, unmeasured) = runs(facts, bus);
    let mut shape = Shape { unmeasured, ..Shape::default() };
    shape.length = Metre::new(runs.iter().map(|run| run.length).sum());
    shape.ring = ring(&runs);
    if shape.ring.is_some() || bus.lines == Lines::Single || !shape.unmeasured.is_empty() {
        return shape;
    }
    let mut around: FxHashMap<usize, Vec<Run>> = FxHashMap::default();
    for run in &runs {
        for end in run.ends {
            around.entry(end).or_default().push(*run);
        }
    }
    let at: Vec<Option<usize>> = ends.ends.iter().map(|end| places.of(end.at)).collect();
    let Some((trunk, way)) = trunk(&at, &around) else { return shape };
    shape.trunk = Some(trunk);
    let ends_of = trunk.ends.map(|end| at.get(end).copied().flatten());
    let reached = walk(way.iter().copied(), &around);
    for (index, node) in bus.nodes.iter().enumerate() {
        let own = node.first.iter().filter_map(|point| places.of(*point));
        let Some(stub) = own
            .filter_map(|place| reached.get(&place).map(|found| (place, found)))
            .min_by(|a, b| a.1.length.total_cmp(&b.1.length))
        else {
            continue;
        };
        let (place, found) = stub;
        if found.length <= 0.0 {
            continue;
        }
        let beyond = trunk.ends.into_iter().zip(ends_of).find(|(_, at)| *at == Some(found.root)).map(|(end, _)| end);
        let length = Metre::new(found.length);
        shape.stubs.push(Stub { node: index, length, beyond, wires: back(place, &reached) });
    }
    shape.stubs.sort_by(|a, b| b.length.get().total_cmp(&a.length.get()).then(a.node.cmp(&b.node)));
    shape
}

/// The places of the first line, the wires between them, and those without a length.
fn runs(facts: &Facts, bus: &Bus) -> (Places, Vec<Run>, Vec<WireId>) {
    let (model, network) = (facts.model(), facts.network());
    let points: Vec<PointId> = bus.first.iter().flat_map(|net| network.net_points(*net).iter().copied()).collect();
    let number: FxHashMap<PointId, usize> = points.iter().enumerate().map(|(number, point)| (*point, number)).collect();
    let mut places = Places { sets: UnionFind::new(points.len()), number };
    let mut wires: Vec<(WireId, [PointId; 2])> = Vec::new();
    for point in &points {
        for (_, edge, other) in network.around(*point) {
            if *point > other || !edge.is_metal() {
                continue;
            }
            match edge.wire() {
                Some(wire) => wires.push((wire, [edge.a, edge.b])),
                None => {
                    if let (Some(a), Some(b)) = (places.number.get(point), places.number.get(&other)) {
                        places.sets.union(*a, *b);
                    }
                }
            }
        }
    }
    for node in &bus.nodes {
        for pair in node.first.windows(2) {
            if let [Some(a), Some(b)] = [pair.first(), pair.get(1)].map(|point| point.and_then(|point| places.number.get(point)))
            {
                places.sets.union(*a, *b);
            }
        }
    }
    wires.sort_unstable_by_key(|(wire, _)| *wire);
    wires.dedup_by_key(|(wire, _)| *wire);
    let mut unmeasured = Vec::new();
    let mut runs = Vec::new();
    for (wire, [a, b]) in wires {
        let length = model[wire].length.map(|at| at.value.get());
        if length.is_none() {
            unmeasured.push(wire);
        }
        if let (Some(a), Some(b)) = (places.of(a), places.of(b)) {
            runs.push(Run { wire, ends: [a, b], length: length.unwrap_or(0.0) });
        }
    }
    (places, runs, unmeasured)
}

/// The first wire that joins what others join already, with the way of the others; two wires between the same two places are one, doubled.
fn ring(runs: &[Run]) -> Option<Ring> {
    let most = runs.iter().flat_map(|run| run.ends).max()?;
    let mut sets: UnionFind<usize> = UnionFind::new(most + 1);
    let mut pairs: FxHashSet<[usize; 2]> = FxHashSet::default();
    let mut around: FxHashMap<usize, Vec<Run>> = FxHashMap::default();
    for run in runs {
        let [a, b] = run.ends;
        let pair = [a.min(b), a.max(b)];
        if sets.union(a, b) {
            pairs.insert(pair);
            for end in run.ends {
                around.entry(end).or_default().push(*run);
            }
            continue;
        }
        if a == b || pairs.contains(&pair) {
            continue;
        }
        let reached = walk([a], &around);
        let wires = std::iter::once(run.wire).chain(back(b, &reached)).collect();
        return Some(Ring { wire: run.wire, wires });
    }
    None
}

/// How a place was reached.
#[derive(Debug, Clone, Copy)]
struct Reached {
    length: f64,
    root: usize,
    by: Option<(WireId, usize)>,
}

/// All places from some starts on, in a shape without rings.
fn walk(starts: impl IntoIterator<Item = usize>, around: &FxHashMap<usize, Vec<Run>>) -> FxHashMap<usize, Reached> {
    let mut reached: FxHashMap<usize, Reached> = FxHashMap::default();
    let mut queue = VecDeque::new();
    for start in starts {
        reached.insert(start, Reached { length: 0.0, root: start, by: None });
        queue.push_back(start);
    }
    while let Some(place) = queue.pop_front() {
        let Some(from) = reached.get(&place).copied() else { continue };
        for run in around.get(&place).into_iter().flatten() {
            let [a, b] = run.ends;
            let other = if a == place { b } else { a };
            if reached.contains_key(&other) {
                continue;
            }
            reached.insert(other, Reached { length: from.length + run.length, root: from.root, by: Some((run.wire, place)) });
            queue.push_back(other);
        }
    }
    reached
}

/// The wires from a place back to where the walk began.
fn back(place: usize, reached: &FxHashMap<usize, Reached>) -> Vec<WireId> {
    let mut wires = Vec::new();
    let mut at = place;
    while let Some((wire, from)) = reached.get(&at).and_then(|found| found.by) {
        wires.push(wire);
        at = from;
    }
    wires
}

/// The two terminators that are furthest apart, and the places between them.
fn trunk(at: &[Option<usize>], around: &FxHashMap<usize, Vec<Run>>) -> Option<(Trunk, Vec<usize>)> {
    let mut best: Option<(Trunk, Vec<usize>)> = None;
    for (one, from) in at.iter().enumerate() {
        let Some(from) = *from else { continue };
        let reached = walk([from], around);
        for (other, to) in at.iter().enumerate().skip(one + 1) {
            let Some((to, found)) = to.and_then(|to| Some((to, reached.get(&to)?))) else { continue };
            if best.as_ref().is_some_and(|(trunk, _)| trunk.length.get() >= found.length) {
                continue;
            }
            let mut way = vec![to];
            let mut place = to;
            while let Some((_, before)) = reached.get(&place).and_then(|found| found.by) {
                way.push(before);
                place = before;
            }
            best = Some((Trunk { ends: [one, other], length: Metre::new(found.length) }, way));
        }
    }
    best
}
