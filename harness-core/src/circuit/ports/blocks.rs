//! The blocks of a network: pieces that no single node parts, and how they hang on each other.
//!
//! A short between two points changes currents only in the blocks between them. A branch that is on no loop is a block of
//! its own. The search is the one of Hopcroft and Tarjan for biconnected components, without recursion; branches side by side make
//! a loop. Cost: linear in nodes and branches.

/// No block or node.
pub(super) const NONE: u32 = u32::MAX;

/// The blocks of a network, each island hung up at one of its nodes.
#[derive(Debug, Default)]
pub(in crate::circuit) struct Blocks {
    /// Per node: the block that leads to its root; `NONE` for the root itself.
    up: Vec<u32>,
    /// Per node: the root of its island.
    island: Vec<u32>,
    /// Per block: the node at which it hangs.
    tops: Vec<u32>,
    /// Per block: how many blocks it is away from the root.
    depths: Vec<u32>,
    /// Per block: where its branches begin in `branches`; one entry more than blocks.
    starts: Vec<u32>,
    branches: Vec<u32>,
    /// The nodes as the search came to them: all that hang below one come right behind it.
    order: Vec<u32>,
    /// Per node: its place in that order, and the place behind all that hang below it.
    below: Vec<(u32, u32)>,
}

/// A node on the way down of the search.
struct Visit {
    node: u32,
    /// The branch by which it was reached.
    by: u32,
    /// The next entry of its adjacency to look at.
    next: u32,
}

impl Blocks {
    /// Finds the blocks of `nodes` nodes; `ends` gives both nodes of each branch that conducts, `None` for one that does not.
    pub(in crate::circuit) fn new(nodes: u32, ends: &[Option<(u32, u32)>]) -> Self {
        let near = Adjacency::new(nodes, ends);
        let mut blocks =
            Self { up: vec![NONE; nodes as usize], island: vec![NONE; nodes as usize], starts: vec![0], ..Self::default() };
        blocks.below = vec![(0, 0); nodes as usize];
        let mut order = vec![NONE; nodes as usize];
        let mut low = vec![NONE; nodes as usize];
        let mut count = 0;
        let mut walked: Vec<u32> = Vec::new();
        let mut way: Vec<Visit> = Vec::new();
        for root in 0..nodes {
            if at(&order, root) != NONE {
                continue;
            }
            enter(&mut order, &mut low, root, &mut count);
            put(&mut blocks.island, root, root);
            way.push(Visit { node: root, by: NONE, next: near.first(root) });
            while let Some(visit) = way.last_mut() {
                let node = visit.node;
                if let Some((branch, other)) = near.get(node, visit.next) {
                    visit.next += 1;
                    if branch == visit.by {
                        continue;
                    }
                    if at(&order, other) == NONE {
                        enter(&mut order, &mut low, other, &mut count);
                        put(&mut blocks.island, other, root);
                        walked.push(branch);
                        way.push(Visit { node: other, by: branch, next: near.first(other) });
                    } else if at(&order, other) < at(&order, node) {
                        walked.push(branch);
                        let seen = at(&order, other).min(at(&low, node));
                        put(&mut low, node, seen);
                    }
                    continue;
                }
                let (by, reach) = (visit.by, at(&low, node));
                way.pop();
                if let Some(below) = blocks.below.get_mut(node as usize) {
                    *below = (at(&order, node), count);
                }
                let Some(above) = way.last() else { continue };
                if reach >= at(&order, above.node) {
                    blocks.close(above.node, by, &mut walked, ends);
                } else {
                    let seen = reach.min(at(&low, above.node));
                    put(&mut low, above.node, seen);
                }
            }
        }
        blocks.hang();
        blocks.order = vec![NONE; nodes as usize];
        for (&place, node) in order.iter().zip(0..) {
            put(&mut blocks.order, place, node);
        }
        blocks
    }

    /// The branches that are on no loop: without one of them its ends are apart.
    pub(in crate::circuit) fn bridges(&self) -> impl Iterator<Item = u32> {
        let ranges = self.starts.iter().zip(self.starts.iter().skip(1));
        ranges.filter(|(first, past)| **past == **first + 1).filter_map(|(first, _)| self.branches.get(*first as usize).copied())
    }

    /// The branches of each block.
    pub(in crate::circuit) fn all(&self) -> impl Iterator<Item = &[u32]> {
        (0..self.tops.len() as u32).map(|block| self.branches(block))
    }

    /// The nodes in an order in which those on one side of each bridge come in a row.
    pub(in crate::circuit) fn in_order(&self) -> &[u32] {
        &self.order
    }

    /// Where in that order those on the side of a bridge are on which the root of its island is not; `ends` are its two nodes.
    pub(in crate::circuit) fn beyond(&self, ends: (u32, u32)) -> std::ops::Range<usize> {
        let below = |node: u32| self.below.get(node as usize).copied().unwrap_or_default();
        let (first, past) = below(ends.0).max(below(ends.1));
        first as usize..past as usize
    }

    /// Takes the branches from `by` on as a block that hangs at `top`.
    fn close(&mut self, top: u32, by: u32, walked: &mut Vec<u32>, ends: &[Option<(u32, u32)>]) {
        let number = self.tops.len() as u32;
        self.tops.push(top);
        while let Some(branch) = walked.pop() {
            self.branches.push(branch);
            if let Some((a, b)) = ends.get(branch as usize).copied().flatten() {
                for node in [a, b] {
                    // A node gets the block that is closed last above it: that of its own way to the root.
                    if node != top {
                        put(&mut self.up, node, number);
                    }
                }
            }
            if branch == by {
                break;
            }
        }
        self.starts.push(self.branches.len() as u32);
    }

    /// Finds how deep each block hangs; a block is closed before the one that it hangs on.
    fn hang(&mut self) {
        self.depths = vec![0; self.tops.len()];
        for block in (0..self.tops.len() as u32).rev() {
            let above = at(&self.up, at(&self.tops, block));
            if above != NONE {
                let depth = at(&self.depths, above) + 1;
                put(&mut self.depths, block, depth);
            }
        }
    }

    /// The block that leads from `node` to its root.
    #[inline]
    pub(super) fn up(&self, node: u32) -> u32 {
        at(&self.up, node)
    }

    /// The node at which a block hangs.
    #[inline]
    pub(super) fn top(&self, block: u32) -> u32 {
        at(&self.tops, block)
    }

    /// How deep a block hangs.
    #[inline]
    pub(super) fn depth(&self, block: u32) -> u32 {
        at(&self.depths, block)
    }

    /// The root of the island of `node`.
    #[inline]
    pub(in crate::circuit) fn island(&self, node: u32) -> u32 {
        at(&self.island, node)
    }

    /// Whether branches that conduct join two nodes.
    #[inline]
    pub(super) fn joined(&self, a: u32, b: u32) -> bool {
        at(&self.island, a) == at(&self.island, b) && at(&self.island, a) != NONE
    }

    /// The branches of a block.
    #[inline]
    pub(super) fn branches(&self, block: u32) -> &[u32] {
        match (self.starts.get(block as usize), self.starts.get(block as usize + 1)) {
            (Some(&first), Some(&past)) => self.branches.get(first as usize..past as usize).unwrap_or_default(),
            _ => &[],
        }
    }
}

/// The branches at each node, in one list.
struct Adjacency {
    starts: Vec<u32>,
    entries: Vec<(u32, u32)>,
}

impl Adjacency {
    fn new(nodes: u32, ends: &[Option<(u32, u32)>]) -> Self {
        let mut starts = vec![0_u32; nodes as usize + 1];
        let loose = |(a, b): (u32, u32)| a != b && a < nodes && b < nodes;
        for (a, b) in ends.iter().flatten().copied().filter(|pair| loose(*pair)) {
            for node in [a, b] {
                if let Some(slot) = starts.get_mut(node as usize + 1) {
                    *slot += 1;
                }
            }
        }
        let mut sum = 0;
        for slot in &mut starts {
            sum += *slot;
            *slot = sum;
        }
        let mut next = starts.clone();
        let mut entries = vec![(NONE, NONE); sum as usize];
        for (ends, branch) in ends.iter().zip(0..) {
            let Some((a, b)) = ends.filter(|pair| loose(*pair)) else { continue };
            for (node, other) in [(a, b), (b, a)] {
                if let Some(slot) = next.get_mut(node as usize) {
                    if let Some(entry) = entries.get_mut(*slot as usize) {
                        *entry = (branch, other);
                    }
                    *slot += 1;
                }
            }
        }
        Self { starts, entries }
    }

    fn first(&self, node: u32) -> u32 {
        at(&self.starts, node)
    }

    fn get(&self, node: u32, entry: u32) -> Option<(u32, u32)> {
        (entry < at(&self.starts, node + 1)).then(|| self.entries.get(entry as usize).copied()).flatten()
    }
}

#[inline]
fn at(list: &[u32], place: u32) -> u32 {
    list.get(place as usize).copied().unwrap_or(NONE)
}

#[inline]
fn put(list: &mut [u32], place: u32, value: u32) {
    if let Some(slot) = list.get_mut(place as usize) {
        *slot = value;
    }
}

fn enter(order: &mut [u32], low: &mut [u32], node: u32, count: &mut u32) {
    put(order, node, *count);
    put(low, node, *count);
    *count += 1;
}

#[cfg(test)]
mod tests {
    use super::*;
    use petgraph::unionfind::UnionFind;
    use proptest::prelude::*;

    proptest! {
        /// Two branches share a block exactly if they are on a loop together: if no single node separates them.
        #[test]
        fn no_single_node_parts_a_block(pairs in prop::collection::vec((0..8_u32, 0..8_u32), 1..14)) {
            let ends: Vec<_> = pairs.iter().map(|pair| Some(*pair).filter(|(a, b)| a != b)).collect();
            let blocks = Blocks::new(8, &ends);
            let mut block_of = vec![NONE; ends.len()];
            for block in 0..blocks.tops.len() as u32 {
                for &branch in blocks.branches(block) {
                    prop_assert_eq!(block_of[branch as usize], NONE, "a branch is in one block");
                    block_of[branch as usize] = block;
                }
            }
            for (first, ends_a) in ends.iter().enumerate() {
                let Some((a, b)) = *ends_a else { continue };
                for (second, ends_b) in ends.iter().enumerate().skip(first + 1) {
                    let Some((c, d)) = *ends_b else { continue };
                    // The oracle: with either branch halved by a new node, no third node separates the two new nodes.
                    let parted = (0..8).any(|out| {
                        let mut sets = UnionFind::<usize>::new(10);
                        let mut join = |x: u32, y: u32| { if x != out && y != out { sets.union(x as usize, y as usize); } };
                        for (other, ends) in ends.iter().enumerate() {
                            if let (true, Some((x, y))) = (other != first && other != second, ends) { join(*x, *y); }
                        }
                        for (x, y) in [(a, 8), (b, 8), (c, 9), (d, 9)] { join(x, y); }
                        !sets.equiv(8, 9)
                    });
                    prop_assert_eq!(block_of[first] == block_of[second], !parted, "{} and {}", first, second);
                }
            }
        }

        /// From every node the tops of its blocks lead to the root of its island, each block less deep than the one before.
        #[test]
        fn every_node_finds_its_root(pairs in prop::collection::vec((0..12_u32, 0..12_u32), 0..20)) {
            let ends: Vec<_> = pairs.iter().map(|pair| Some(*pair).filter(|(a, b)| a != b)).collect();
            let blocks = Blocks::new(12, &ends);
            for start in 0..12 {
                let mut node = start;
                let mut depth = NONE;
                while blocks.up(node) != NONE {
                    let block = blocks.up(node);
                    prop_assert!(blocks.depth(block) < depth);
                    depth = blocks.depth(block);
                    node = blocks.top(block);
                }
                prop_assert_eq!(node, blocks.island[start as usize]);
            }
        }
    }
}
