//! Which edges of a graph are cut together: a bridge is on no circle, and two edges are in series if every circle through one
//! passes the other.
//!
//! Idea: each edge outside a spanning forest gets a word of its own, and an edge of the forest the sum (exclusive or) of the words of
//! all circles that pass it. Then an edge without a word is a bridge, and two with the same word are on the same circles. Words have
//! 64 bits and follow from the numbers of the edges, so the answer is always the same; that two sums agree by chance is less likely
//! than one in a million million for a million edges. Cost: two passes over the edges.

/// The words of the edges of a graph, by their numbers.
#[derive(Debug, Clone, Default)]
pub(super) struct Cuts {
    words: Vec<u64>,
    /// Per edge the node below it in the forest; `None` for edges outside.
    below: Vec<Option<usize>>,
    /// The nodes in the order in which the forest came to them.
    order: Vec<usize>,
    /// Per node the one above it.
    above: Vec<Option<usize>>,
}

impl Cuts {
    /// Finds the words of `edges`, each between two of `nodes` nodes; an edge from a node to itself has a word of its own.
    pub(super) fn new(nodes: usize, edges: &[(usize, usize)]) -> Self {
        let mut around: Vec<Vec<(usize, usize)>> = vec![Vec::new(); nodes];
        for (edge, &(a, b)) in edges.iter().enumerate() {
            for (from, to) in [(a, b), (b, a)] {
                if let Some(list) = around.get_mut(from) {
                    list.push((edge, to));
                }
            }
        }
        let mut cuts = Self {
            words: vec![0; edges.len()],
            below: vec![None; edges.len()],
            order: Vec::with_capacity(nodes),
            above: vec![None; nodes],
        };
        let mut met = vec![false; nodes];
        for start in 0..nodes {
            if met.get(start) != Some(&false) {
                continue;
            }
            cuts.meet(&mut met, start, None, None);
            let mut next = cuts.order.len() - 1;
            while let Some(&node) = cuts.order.get(next) {
                next += 1;
                for &(edge, to) in around.get(node).into_iter().flatten() {
                    if met.get(to) == Some(&false) {
                        cuts.meet(&mut met, to, Some(node), Some(edge));
                    }
                }
            }
        }
        let mut sums = vec![0; nodes];
        for (edge, &(a, b)) in edges.iter().enumerate() {
            if cuts.below.get(edge).is_none_or(Option::is_some) {
                continue;
            }
            let word = word(edge);
            for node in [a, b] {
                if let Some(sum) = sums.get_mut(node) {
                    *sum ^= word;
                }
            }
            if let Some(slot) = cuts.words.get_mut(edge) {
                *slot = word;
            }
        }
        cuts.carry_up(&mut sums, |below, above| *above ^= *below);
        for (edge, below) in cuts.below.iter().enumerate() {
            if let (Some(slot), Some(sum)) = (cuts.words.get_mut(edge), below.and_then(|node| sums.get(node))) {
                *slot = *sum;
            }
        }
        cuts
    }

    fn meet(&mut self, met: &mut [bool], node: usize, above: Option<usize>, by: Option<usize>) {
        if let (Some(met), Some(slot)) = (met.get_mut(node), self.above.get_mut(node)) {
            (*met, *slot) = (true, above);
        }
        if let Some(slot) = by.and_then(|edge| self.below.get_mut(edge)) {
            *slot = Some(node);
        }
        self.order.push(node);
    }

    /// Adds the value of each node to that of the node above it, from the leaves on: then each holds that of all below it.
    pub(super) fn carry_up<T: Clone>(&self, values: &mut [T], add: impl Fn(&T, &mut T)) {
        for &node in self.order.iter().rev() {
            let Some(above) = self.above.get(node).copied().flatten() else { continue };
            let Some(value) = values.get(node).cloned() else { continue };
            if let Some(sum) = values.get_mut(above) {
                add(&value, sum);
            }
        }
    }

    /// The node below an edge that is a bridge: with the edge out, what is below it hangs on nothing else. `None` for an edge that
    /// is on a circle.
    pub(super) fn bridge(&self, edge: usize) -> Option<usize> {
        (self.words.get(edge) == Some(&0)).then(|| self.below.get(edge).copied().flatten()).flatten()
    }

    /// Whether every circle through one edge passes the other; `false` for an edge that is on none.
    pub(super) fn in_series(&self, one: usize, other: usize) -> bool {
        match (self.words.get(one), self.words.get(other)) {
            (Some(one), Some(other)) => *one != 0 && one == other,
            _ => false,
        }
    }
}

/// A word for an edge outside the forest, by the mixing steps of the generator `splitmix64` (public domain).
fn word(edge: usize) -> u64 {
    let mut word = (edge as u64).wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    word = (word ^ (word >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    word = (word ^ (word >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    word ^ (word >> 31)
}

#[cfg(test)]
mod tests {
    use super::Cuts;
    use petgraph::unionfind::UnionFind;
    use proptest::prelude::*;

    const NODES: usize = 8;

    fn joined(edges: &[(usize, usize)], without: &[usize]) -> UnionFind<usize> {
        let mut sets = UnionFind::new(NODES);
        for (at, (a, b)) in edges.iter().enumerate() {
            if !without.contains(&at) {
                sets.union(*a, *b);
            }
        }
        sets
    }

    fn is_bridge(edges: &[(usize, usize)], without: &[usize], at: usize) -> bool {
        let (a, b) = edges[at];
        let all: Vec<usize> = without.iter().copied().chain([at]).collect();
        !joined(edges, &all).equiv(a, b)
    }

    proptest! {
        /// Against a slow oracle: take one edge out, then look whether another has become a bridge.
        #[test]
        fn bridges_and_edges_in_series(edges in prop::collection::vec((0..NODES, 0..NODES), 0..14)) {
            let cuts = Cuts::new(NODES, &edges);
            for at in 0..edges.len() {
                let bridge = is_bridge(&edges, &[], at);
                prop_assert_eq!(cuts.bridge(at).is_some(), bridge, "bridge {}", at);
                for other in (0..edges.len()).filter(|other| *other != at) {
                    let series = !bridge && !is_bridge(&edges, &[], other) && is_bridge(&edges, &[at], other);
                    prop_assert_eq!(cuts.in_series(at, other), series, "{} and {}", at, other);
                }
            }
        }
    }
}
