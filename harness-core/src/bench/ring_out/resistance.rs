//! The resistance between two knots of a network of resistances, exact for any shape of it.
//!
//! The idea: knots are taken out one by one, the one with the fewest neighbours first, and what was joined over it is joined directly (a star
//! becomes a mesh). All terms are positive, so that nothing is lost by subtraction, however far milliohms and megohms are apart. A tree
//! gets no new joins, so that it costs what it has knots.

use crate::arena::{IdVec, ids};
use std::collections::{BTreeMap, BTreeSet};

ids! {
    /// A knot of a network of resistances.
    Knot;
}

/// A knot that was taken out.
#[derive(Debug)]
struct TakenOut {
    knot: Knot,
    /// Its conductances to those that were left.
    row: Vec<(Knot, f64)>,
    /// The sum of these.
    sum: f64,
}

/// A network with its knots taken out.
#[derive(Debug)]
pub(super) struct Reduced {
    /// In the order taken out.
    out: Vec<TakenOut>,
    count: usize,
}

impl Reduced {
    /// `count` knots with these conductances between them, in siemens above zero; several between two knots add up.
    pub(super) fn new(count: usize, conductances: impl Iterator<Item = (Knot, Knot, f64)>) -> Self {
        let mut rows: IdVec<Knot, BTreeMap<Knot, f64>> = IdVec::of(BTreeMap::new(), count);
        for (one, other, siemens) in conductances {
            if one != other {
                *rows[one].entry(other).or_default() += siemens;
                *rows[other].entry(one).or_default() += siemens;
            }
        }
        let mut queue: BTreeSet<(usize, Knot)> = rows.iter().map(|(knot, row)| (row.len(), knot)).collect();
        let mut out = Vec::with_capacity(count);
        while let Some((_, knot)) = queue.pop_first() {
            let row: Vec<(Knot, f64)> = std::mem::take(&mut rows[knot]).into_iter().collect();
            let sum: f64 = row.iter().map(|(_, siemens)| siemens).sum();
            for (at, (one, to_one)) in row.iter().enumerate() {
                queue.remove(&(rows[*one].len(), *one));
                rows[*one].remove(&knot);
                for (other, to_other) in row.iter().take(at) {
                    let siemens = to_one * to_other / sum;
                    // The earlier one is in the queue already: it is taken out while its number of neighbours changes.
                    queue.remove(&(rows[*other].len(), *other));
                    *rows[*one].entry(*other).or_default() += siemens;
                    *rows[*other].entry(*one).or_default() += siemens;
                    queue.insert((rows[*other].len(), *other));
                }
                queue.insert((rows[*one].len(), *one));
            }
            out.push(TakenOut { knot, row, sum });
        }
        Self { out, count }
    }

    /// The resistance between two knots that something joins, in ohm.
    pub(super) fn between(&self, one: Knot, other: Knot) -> f64 {
        if one == other {
            return 0.0;
        }
        // One ampere goes in at the one and comes out at the other.
        let mut amps: IdVec<Knot, f64> = IdVec::of(0.0, self.count);
        amps[one] = 1.0;
        amps[other] = -1.0;
        for TakenOut { knot, row, sum } in &self.out {
            let here = amps[*knot];
            if here != 0.0 {
                for (next, siemens) in row {
                    amps[*next] += here * siemens / sum;
                }
            }
        }
        let mut volts: IdVec<Knot, f64> = IdVec::of(0.0, self.count);
        for TakenOut { knot, row, sum } in self.out.iter().rev() {
            if *sum > 0.0 {
                let fed: f64 = row.iter().map(|(next, siemens)| siemens * volts[*next]).sum();
                volts[*knot] = (amps[*knot] + fed) / sum;
            }
        }
        (volts[one] - volts[other]).abs()
    }
}

#[cfg(test)]
mod tests {
    use super::{Knot, Reduced};
    use nalgebra::{DMatrix, DVector};
    use proptest::prelude::*;

    fn knot(index: usize) -> Knot {
        Knot::from_index(index)
    }

    /// The same from the whole matrix at once, by somebody else's arithmetic.
    fn dense(count: usize, edges: &[(usize, usize, f64)], one: usize, other: usize) -> f64 {
        let mut matrix = DMatrix::zeros(count, count);
        for (a, b, siemens) in edges.iter().filter(|(a, b, _)| a != b) {
            matrix[(*a, *a)] += siemens;
            matrix[(*b, *b)] += siemens;
            matrix[(*a, *b)] -= siemens;
            matrix[(*b, *a)] -= siemens;
        }
        for at in 0..count {
            matrix[(other, at)] = 0.0;
        }
        matrix[(other, other)] = 1.0;
        let mut amps = DVector::zeros(count);
        amps[one] = 1.0;
        let volts = matrix.lu().solve(&amps).expect("the network hangs together");
        volts[one] - volts[other]
    }

    proptest! {
        #[test]
        fn it_is_what_a_dense_solve_gives(
            spine in prop::collection::vec(0usize..1000, 1..20),
            extra in prop::collection::vec((0usize..20, 0usize..20, 0.001f64..1000.0), 0..25),
            pick in (0usize..20, 0usize..20),
        ) {
            let count = spine.len() + 1;
            let mut edges: Vec<(usize, usize, f64)> =
                spine.iter().enumerate().map(|(at, to)| (at + 1, to % (at + 1), 0.5 + (to % 7) as f64)).collect();
            edges.extend(extra.iter().filter(|(a, b, _)| *a < count && *b < count && a != b));
            let (one, other) = (pick.0 % count, pick.1 % count);
            prop_assume!(one != other);
            let own = Reduced::new(count, edges.iter().map(|(a, b, siemens)| (knot(*a), knot(*b), *siemens)));
            let (own, theirs) = (own.between(knot(one), knot(other)), dense(count, &edges, one, other));
            prop_assert!((own - theirs).abs() <= 1e-9 * theirs.max(1e-3), "{own} and {theirs}");
        }
    }

    /// A cube of equal resistors: 5/6 of one from corner to corner over the body, 3/4 over a face, 7/12 along an edge (a worked example of many
    /// textbooks; from memory).
    #[test]
    fn the_cube_of_resistors_is_that_of_the_textbooks() {
        let corners = 0usize..8;
        let edges = corners.flat_map(|at| [1, 2, 4].map(|bit| (at, at ^ bit))).filter(|(a, b)| a < b);
        let cube = Reduced::new(8, edges.map(|(a, b)| (knot(a), knot(b), 1.0)));
        for (to, ohm) in [(7, 5.0 / 6.0), (3, 3.0 / 4.0), (1, 7.0 / 12.0)] {
            assert!((cube.between(knot(0), knot(to)) - ohm).abs() < 1e-12, "{to}");
        }
    }
}
