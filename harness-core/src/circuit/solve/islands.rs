//! Which nodes hang together, by which branches, and which of them a source reaches.

use super::{
    states::{Behaviour, States},
    table::Table,
};
use crate::circuit::{BranchKind, Circuit};
use petgraph::unionfind::UnionFind;

/// Nodes by island, for one set of behaviours.
#[derive(Debug, Clone, Default)]
pub(super) struct Islands {
    /// Per node: its island, in the order of the lowest node of each.
    pub(super) of: Table<u32>,
    /// Per island: whether a source that is on is in it.
    pub(super) live: Table<bool>,
    /// Per node: whether it is the reference of its island.
    pub(super) root: Table<bool>,
    /// Per branch: a load whose terminals only loads join.
    pub(super) bridging: Table<bool>,
    /// The branches that conduct in live islands.
    pub(super) conducting: Vec<u32>,
}

impl Islands {
    /// Finds the islands, and lets loads join those that nothing else joins, so that currents through loads in series exist.
    pub(super) fn find(circuit: &Circuit, states: &mut States) -> Self {
        let count = circuit.nodes as usize;
        let mut joined = UnionFind::<u32>::new(count);
        for (branch, number) in circuit.branches.iter().zip(0..) {
            if states.joins(number) {
                let _ = joined.try_union(branch.from, branch.to);
            }
        }
        let mut bridging = Table::new(circuit.branches.len());
        let mut bridges = Vec::new();
        for &load in states.loads() {
            let Some(branch) = circuit.branches.get(load as usize) else { continue };
            if joined.try_equiv(branch.from, branch.to) == Ok(false) {
                bridging.set(load, true);
                bridges.push(load);
            }
        }
        // Those that already conduct come first; of the others only as many conduct as it takes to give each island a potential. A
        // dead feed may serve thousands of loads, and as many loops through all of them would carry next to nothing.
        bridges.sort_by_key(|load| !states.conducts(*load));
        for &load in &bridges {
            let Some(branch) = circuit.branches.get(load as usize) else { continue };
            if !states.ever_draws(load) {
                continue;
            }
            let joins = joined.try_union(branch.from, branch.to).unwrap_or(false);
            let draws = states.rescued && states.behaviour(load) == Behaviour::Draws;
            if !states.conducts(load) && (joins || !draws) {
                let behaviour = if joins { Behaviour::Starves } else { Behaviour::Idles };
                if states.behaviour(load) != behaviour {
                    states.enter(load, behaviour);
                }
            }
        }
        for &input in states.inputs() {
            let Some(branch) = circuit.branches.get(input as usize) else { continue };
            bridging.set(input, joined.try_equiv(branch.from, branch.to) == Ok(false));
        }

        let mut islands = Self { bridging, ..Self::default() };
        let labels = joined.into_labeling();
        let mut named = Table::<u32>::new(count);
        let mut of = Vec::with_capacity(count);
        let mut found = 0;
        for &label in &labels {
            if named.at(label) == 0 {
                found += 1;
                named.set(label, found);
            }
            of.push(named.at(label) - 1);
        }
        islands.of = Table::of(of);
        islands.live = Table::new(found as usize);
        islands.root = Table::new(count);
        for (branch, number) in circuit.branches.iter().zip(0..) {
            if matches!(branch.kind, BranchKind::Source { .. })
                && matches!(states.behaviour(number), Behaviour::Conducts | Behaviour::Limits)
            {
                islands.live.set(islands.of.at(branch.from), true);
                islands.live.set(islands.of.at(branch.to), true);
            }
        }
        let mut rooted = Table::<bool>::new(found as usize);
        for node in circuit.references.iter().copied().chain(0..circuit.nodes) {
            let island = islands.of.at(node);
            if node < circuit.nodes && !rooted.at(island) {
                rooted.set(island, true);
                islands.root.set(node, true);
            }
        }
        for (branch, number) in circuit.branches.iter().zip(0..) {
            if states.conducts(number) && islands.live.at(islands.of.at(branch.from)) {
                islands.conducting.push(number);
            }
        }
        islands
    }

    /// Whether both ends of a branch are in one island.
    pub(super) fn same(&self, from: u32, to: u32) -> bool {
        self.of.at(from) == self.of.at(to)
    }

    /// Whether both ends of a branch are in islands of their own that each have a source.
    pub(super) fn are_apart(&self, from: u32, to: u32) -> bool {
        !self.same(from, to) && self.live_at(from) && self.live_at(to)
    }

    /// Whether a source that is on is in the island of `node`.
    pub(super) fn live_at(&self, node: u32) -> bool {
        self.live.at(self.of.at(node))
    }
}
