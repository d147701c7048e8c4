//! The largest flow through a network of fuses and sources, and what limits it.

use super::Feeder;
use crate::quantity::Ampere;

/// A network of fuses and sources in which the largest flow is found, by the shortest ways first.
pub(super) struct Flow {
    around: Vec<Vec<usize>>,
    /// From, to, what is left in each direction, and what limits it.
    edges: Vec<(usize, usize, [f64; 2], Feeder)>,
}

/// A current below which nothing is left.
const NOTHING: f64 = 1e-9;

impl Flow {
    pub(super) fn new() -> Self {
        Self { around: Vec::new(), edges: Vec::new() }
    }

    pub(super) fn node(&mut self) -> usize {
        self.around.push(Vec::new());
        self.around.len() - 1
    }

    pub(super) fn edge(&mut self, from: usize, to: usize, feeder: Feeder, most: Ampere) {
        // A fuse lets through either way, a source gives one way only.
        let back = if feeder.is_fuse { most.get() } else { 0.0 };
        for node in [from, to] {
            if let Some(list) = self.around.get_mut(node) {
                list.push(self.edges.len());
            }
        }
        self.edges.push((from, to, [most.get(), back], feeder));
    }

    /// What is left from a node along an edge, and where it leads.
    fn left(&self, edge: usize, node: usize) -> Option<(usize, f64, usize)> {
        let (from, to, left, _) = self.edges.get(edge)?;
        let [along, against] = *left;
        Some(if *from == node { (*to, along, 0) } else { (*from, against, 1) })
    }

    pub(super) fn most(&mut self, source: usize, sink: usize) -> f64 {
        let mut total = 0.0;
        loop {
            let mut came: Vec<Option<(usize, usize)>> = vec![None; self.around.len()];
            let mut order = vec![source];
            let mut next = 0;
            while let Some(&node) = order.get(next) {
                next += 1;
                for &edge in self.around.get(node).into_iter().flatten() {
                    let Some((to, left, _)) = self.left(edge, node) else { continue };
                    if left > NOTHING && to != source && came.get(to) == Some(&None) {
                        if let Some(slot) = came.get_mut(to) {
                            *slot = Some((node, edge));
                        }
                        order.push(to);
                    }
                }
            }
            let way = |mut node: usize| {
                let mut way = Vec::new();
                while let Some((before, edge)) = came.get(node).copied().flatten() {
                    way.push((before, edge));
                    node = before;
                }
                way
            };
            let way = way(sink);
            let least = way.iter().filter_map(|(node, edge)| self.left(*edge, *node)).map(|(_, left, _)| left);
            let least = least.fold(f64::INFINITY, f64::min);
            if way.is_empty() || !least.is_finite() {
                return total;
            }
            for (node, edge) in way {
                let Some((_, _, side)) = self.left(edge, node) else { continue };
                if let Some((_, _, left, _)) = self.edges.get_mut(edge) {
                    let [along, against] = left;
                    let (used, gained) = if side == 0 { (along, against) } else { (against, along) };
                    *used -= least;
                    *gained += least;
                }
            }
            total += least;
        }
    }

    /// What limits the flow that was found, nearest to the sink: the edges into all from which more could still reach it.
    pub(super) fn cut(&self, sink: usize) -> Vec<Feeder> {
        let mut within = vec![false; self.around.len()];
        let mut waiting = vec![sink];
        while let Some(node) = waiting.pop() {
            match within.get_mut(node) {
                Some(slot) if !*slot => *slot = true,
                _ => continue,
            }
            for &edge in self.around.get(node).into_iter().flatten() {
                let Some((from, to, [along, against], _)) = self.edges.get(edge) else { continue };
                let (other, left) = if *to == node { (*from, *along) } else { (*to, *against) };
                if left > NOTHING {
                    waiting.push(other);
                }
            }
        }
        let is_within = |node: usize| within.get(node) == Some(&true);
        let cut = self.edges.iter().filter(|(from, to, ..)| is_within(*from) != is_within(*to));
        let mut cut: Vec<Feeder> = cut.map(|(.., feeder)| *feeder).collect();
        cut.sort_unstable_by_key(|feeder| feeder.element);
        cut
    }
}
