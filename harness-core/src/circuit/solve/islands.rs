//! Which nodes hang together, by which branches, and which of them a source reaches.

use super::{
    states::{Behaviour, States},
    table::Table,
};
use crate::circuit::{Branch, BranchKind, Circuit};
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
}

impl Islands {
    /// Finds the islands, and lets loads join those that nothing else joins, so that currents through loads in series exist.
    pub(super) fn find(circuit: &Circuit, states: &mut States) -> Self {
        let numbers = 0..circuit.branches.len() as u32;
        let joining: Vec<u32> = numbers.filter(|number| states.joins(*number)).collect();
        Self::of_pieces(circuit, states, (0..circuit.nodes).collect(), &joining)
    }

    /// As [`find`](Self::find), where it is known that the nodes of one number in `pieces`, all below twice the number of nodes, are joined, and that no
    /// more than that is, `joining` aside.
    pub(super) fn of_pieces(circuit: &Circuit, states: &mut States, pieces: Vec<u32>, joining: &[u32]) -> Self {
        let count = circuit.nodes as usize;
        let most = pieces.iter().copied().max().map_or(0, |most| most + 1);
        let mut sets = UnionFind::<u32>::new(most as usize);
        let piece = |node: u32| pieces.get(node as usize).copied().unwrap_or(u32::MAX);
        for branch in joining.iter().filter_map(|branch| circuit.branches.get(*branch as usize)) {
            let _ = sets.try_union(piece(branch.from), piece(branch.to));
        }
        let mut bridging = Table::new(circuit.branches.len());
        let mut bridges = Vec::new();
        for &load in states.loads() {
            let Some(branch) = circuit.branches.get(load as usize) else { continue };
            if sets.try_equiv(piece(branch.from), piece(branch.to)) == Ok(false) {
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
            let joins = sets.try_union(piece(branch.from), piece(branch.to)).unwrap_or(false);
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
            bridging.set(input, sets.try_equiv(piece(branch.from), piece(branch.to)) == Ok(false));
        }

        let mut islands = Self { bridging, ..Self::default() };
        let labels = sets.into_labeling();
        let mut named = Table::<u32>::new(most as usize);
        let mut of = Vec::with_capacity(count);
        let mut found = 0;
        for piece in &pieces {
            let label = labels.get(*piece as usize).copied().unwrap_or_default();
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
        islands
    }

    /// The branches that conduct in live islands.
    pub(super) fn conducting(&self, circuit: &Circuit, states: &States) -> Vec<u32> {
        let conducts = |(branch, number): (&Branch, u32)| {
            Some(number).filter(|number| states.conducts(*number) && self.live_at(branch.from))
        };
        circuit.branches.iter().zip(0..).filter_map(conducts).collect()
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
