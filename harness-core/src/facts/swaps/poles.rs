//! Which pole of a source a point is joined to, and whether it still is with some connectors open.
//!
//! The idea: one search from all positive poles, one from all negative ones, over what always conducts, and two more over contacts that may
//! close. Each leaves a tree of shortest ways. With a connector open a point keeps its pole if its way in the tree passes none of the open
//! contacts; else the neighbourhood that hung behind these contacts is searched for a point that has another way.
//!
//! Cost: four passes over the network once; then the length of one way for most questions, and what hangs behind the connector for the others.

use super::marks::Marks;
use crate::{
    arena::IdVec,
    model::{EndId, PointId},
    network::{Edge, EdgeId, EdgeKind, EdgeRole, Network},
};
use rustc_hash::FxHashSet;
use std::collections::VecDeque;

/// A pole of a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Pole {
    /// Positive; of alternating voltage the line.
    Plus,
    /// Negative; of alternating voltage the neutral.
    Minus,
}

/// What is open while a question is asked: the contacts of these ends.
pub(super) type Open<'o> = &'o [EndId];

/// The way of each point to the nearest pole of one kind.
struct Tree {
    pole: Pole,
    with_contacts: bool,
    came: IdVec<PointId, Came>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Came {
    Never,
    Root,
    By(EdgeId, PointId),
}

/// A pole that a point is joined to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reached {
    /// Which one.
    pub pole: Pole,
    /// Only where contacts close.
    pub is_switched: bool,
    /// The pole itself.
    pub root: PointId,
    /// The ends whose contacts the way passes.
    pub through: Vec<EndId>,
}

/// The ways of all points to the poles.
pub(super) struct Poles {
    trees: [Tree; 4],
}

impl Poles {
    pub(super) fn new(network: &Network) -> Self {
        let held = |pole| Tree::new(network, pole, false, |_| false);
        let (plus, minus) = (held(Pole::Plus), held(Pole::Minus));
        // A contact that joins two poles, as in a bridge, must not carry one pole into the other's conductors.
        let held = |point: PointId| plus.came[point] != Came::Never || minus.came[point] != Came::Never;
        let (far_plus, far_minus) = (Tree::new(network, Pole::Plus, true, held), Tree::new(network, Pole::Minus, true, held));
        Self { trees: [plus, minus, far_plus, far_minus] }
    }

    /// The pole that a point is joined to with some ends open: what is always joined first, the positive pole first. Between two sources in
    /// series it is the positive one, which is above the other's.
    pub(super) fn of(&self, network: &Network, point: PointId, open: Open<'_>, known: &mut Held) -> Option<Reached> {
        let Held { of, seen } = known;
        let holding =
            self.trees.iter().zip(of).find_map(|(tree, of)| tree.holds(network, point, open, (of, seen)).then_some(tree));
        holding?.find(network, point, open)
    }

    /// Both poles, where contacts can join a point to either: the output of a bridge.
    pub(super) fn is_bridge(&self, network: &Network, point: PointId, open: Open<'_>, known: &mut Held) -> bool {
        let Held { of, seen } = known;
        let holds = self.trees.iter().zip(of).map(|(tree, of)| tree.holds(network, point, open, (of, seen)));
        holds.eq([false, false, true, true])
    }

    /// Whether a point is joined to a pole for good with some ends open.
    pub(super) fn is_held(&self, network: &Network, point: PointId, open: Open<'_>, known: &mut Held) -> bool {
        let Held { of, seen } = known;
        self.trees.iter().zip(of).take(2).any(|(tree, of)| tree.holds(network, point, open, (of, seen)))
    }
}

/// Which points each tree is known to reach, or not to, while some ends are open.
pub(super) struct Held {
    of: [Marks; 4],
    seen: Marks,
}

impl Held {
    pub(super) fn new(network: &Network) -> Self {
        let marks = || Marks::new(network);
        Self { of: [marks(), marks(), marks(), marks()], seen: marks() }
    }

    /// Other ends are open from here on.
    pub(super) fn forget(&mut self) {
        self.of.iter_mut().for_each(Marks::forget);
    }
}

impl Tree {
    fn new(network: &Network, pole: Pole, with_contacts: bool, is_border: impl Fn(PointId) -> bool) -> Self {
        let mut tree = Self { pole, with_contacts, came: IdVec::of(Came::Never, network.point_count()) };
        let mut waiting = VecDeque::new();
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            let root = if pole == Pole::Plus { edge.b } else { edge.a };
            // A source with both poles on one net is shorted, and holds nothing.
            if network.net(edge.a) != network.net(edge.b) && tree.came[root] == Came::Never {
                tree.came[root] = Came::Root;
                waiting.push_back(root);
            }
        }
        while let Some(point) = waiting.pop_front() {
            for (id, edge, other) in network.around(point) {
                if tree.came[other] != Came::Never || !tree.passes(edge, point) {
                    continue;
                }
                // What a pole holds already is never reached over a contact, nor from what was reached over one.
                if with_contacts && is_border(other) && (!is_border(point) || edge.role.is_switched()) {
                    continue;
                }
                tree.came[other] = Came::By(id, point);
                waiting.push_back(other);
            }
        }
        tree
    }

    /// Whether a pole reaches over an edge from one of its points to the other.
    fn passes(&self, edge: &Edge, from: PointId) -> bool {
        if !edge.role.conducts_when_closed() || edge.role.is_switched() && !self.with_contacts {
            return false;
        }
        // A diode lets the plus through from its anode, the minus from its cathode.
        edge.role != EdgeRole::Diode || (from == edge.a) == (self.pole == Pole::Plus)
    }

    fn find(&self, network: &Network, point: PointId, open: Open<'_>) -> Option<Reached> {
        if self.came[point] == Came::Never {
            return None;
        }
        if let Some(found) = self.way(network, point, open) {
            return Some(found);
        }
        let mut seen: FxHashSet<PointId> = FxHashSet::default();
        let mut waiting = VecDeque::from([(point, Vec::new(), false)]);
        seen.insert(point);
        while let Some((at, through, is_switched)) = waiting.pop_front() {
            for (_, edge, other) in network.around(at) {
                if !self.comes(edge, other, open) || !seen.insert(other) {
                    continue;
                }
                let mut passed = through.clone();
                passed.extend(contact(edge));
                let is_switched = is_switched || edge.role.is_switched();
                if let Some(mut found) = self.way(network, other, open) {
                    found.through.extend(passed);
                    found.is_switched |= is_switched;
                    return Some(found);
                }
                waiting.push_back((other, passed, is_switched));
            }
        }
        None
    }

    /// Whether the pole comes over an edge from `other`, where it ever comes to it.
    fn comes(&self, edge: &Edge, other: PointId, open: Open<'_>) -> bool {
        self.came[other] != Came::Never && !is_open(edge, open) && self.passes(edge, other)
    }

    /// Whether the pole comes to a point: as `find`, without the way.
    fn holds(&self, network: &Network, point: PointId, open: Open<'_>, (known, seen): (&mut Marks, &mut Marks)) -> bool {
        if self.came[point] == Came::Never {
            return false;
        }
        if let Some(known) = known.get(point) {
            return known;
        }
        if self.is_intact(network, point, open) {
            known.set(point, true);
            return true;
        }
        seen.forget();
        seen.set(point, true);
        let mut order = vec![point];
        let mut next = 0;
        while let Some(at) = order.get(next).copied() {
            next += 1;
            for (_, edge, other) in network.around(at) {
                if !self.comes(edge, other, open) || seen.get(other).is_some() {
                    continue;
                }
                seen.set(other, true);
                match known.get(other) {
                    Some(false) => continue,
                    None if !self.is_intact(network, other, open) => order.push(other),
                    Some(true) | None => {
                        known.set(point, true);
                        return true;
                    }
                }
            }
        }
        // What the pole would have to come from is not held either.
        order.into_iter().for_each(|point| known.set(point, false));
        false
    }

    /// Whether nothing is open on the way of the tree.
    fn is_intact(&self, network: &Network, mut at: PointId, open: Open<'_>) -> bool {
        loop {
            match self.came[at] {
                Came::Never => return false,
                Came::Root => return true,
                Came::By(id, _) if is_open(&network[id], open) => return false,
                Came::By(_, next) => at = next,
            }
        }
    }

    /// The way of the tree, if nothing on it is open.
    fn way(&self, network: &Network, point: PointId, open: Open<'_>) -> Option<Reached> {
        let (mut at, mut through, mut is_switched) = (point, Vec::new(), false);
        loop {
            match self.came[at] {
                Came::Never => return None,
                Came::Root => return Some(Reached { pole: self.pole, is_switched, root: at, through }),
                Came::By(id, next) => {
                    let edge = &network[id];
                    if is_open(edge, open) {
                        return None;
                    }
                    through.extend(contact(edge));
                    is_switched |= edge.role.is_switched();
                    at = next;
                }
            }
        }
    }
}

/// The end whose mated contact an edge is.
pub(super) fn contact(edge: &Edge) -> Option<EndId> {
    match edge.kind {
        EdgeKind::Contact(end) => Some(end),
        EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Joint(_) | EdgeKind::Chassis(_) | EdgeKind::Element(_) => None,
    }
}

/// Whether an edge is a contact of a connector that is open.
pub(super) fn is_open(edge: &Edge, open: Open<'_>) -> bool {
    contact(edge).is_some_and(|end| open.contains(&end))
}
