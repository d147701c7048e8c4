//! The order of readings in which the leads go to another end least.
//!
//! The idea: two readings at the same two ends cost nothing in between, two that share an end cost one lead, others cost two. So the pairs of ends
//! that are used are to be walked so that each shares an end with the next. A walk begins at a pair that only one other touches, and goes on to the
//! pair with the fewest left beside it. What no walk can avoid is counted: each pair is come to once, and a pair that one other touches is an end of a
//! walk, of which each walk has two.

use super::{
    bare::{Groups, Spot},
    planned::{Planned, Purpose, StepId},
    rig::Rig,
};
use crate::arena::{IdVec, ids};
use std::collections::{BTreeMap, BTreeSet};

ids! {
    /// A pair of ends between which something is read.
    Pair;
}

pub(super) struct Ordered {
    pub(super) steps: IdVec<StepId, Planned>,
    pub(super) changes: usize,
    pub(super) bound: usize,
}

/// Where a lead is: an end, or a splice that a probe reaches.
fn place(rig: &Rig, spot: Spot) -> (bool, u32) {
    rig.bare.spots[spot].plug.map_or((true, spot.0), |plug| (false, plug.0))
}

type Ends = [(bool, u32); 2];

/// How many leads go to another end between two pairs.
fn moved(one: Ends, other: Ends) -> usize {
    let [a, b] = one;
    let [c, d] = other;
    let straight = usize::from(a != c) + usize::from(b != d);
    let crossed = usize::from(a != d) + usize::from(b != c);
    straight.min(crossed)
}

pub(super) fn ordered(rig: &Rig, steps: Vec<Planned>) -> Ordered {
    let ends = |step: &Planned| -> Ends {
        let mut both = [place(rig, step.from), place(rig, step.to)];
        both.sort_unstable();
        both
    };
    let mut by_ends: BTreeMap<Ends, Vec<Planned>> = BTreeMap::new();
    for step in steps {
        by_ends.entry(ends(&step)).or_default().push(step);
    }
    let pairs: IdVec<Pair, Ends> = by_ends.keys().copied().collect();
    let walk = walk(&pairs);
    let changes = walk.iter().zip(walk.iter().skip(1)).map(|(one, next)| moved(pairs[*one], pairs[*next])).sum();
    let mut sorted = IdVec::new();
    for pair in walk {
        let mut group = by_ends.remove(&pairs[pair]).unwrap_or_default();
        let is_diode = |step: &Planned| matches!(step.purpose, Purpose::Forward | Purpose::Backward);
        group.sort_by_key(|step| (is_diode(step), step.purpose == Purpose::Apart, step.from, step.to));
        for step in group {
            sorted.push(step);
        }
    }
    Ordered { steps: sorted, changes, bound: bound(&pairs) }
}

/// What is left to be walked: the pairs at each end.
struct Left {
    at: BTreeMap<(bool, u32), BTreeSet<Pair>>,
}

impl Left {
    fn new(pairs: &IdVec<Pair, Ends>) -> Self {
        let mut at: BTreeMap<(bool, u32), BTreeSet<Pair>> = BTreeMap::new();
        for (id, ends) in pairs.iter() {
            for end in ends {
                at.entry(*end).or_default().insert(id);
            }
        }
        Self { at }
    }

    fn at(&self, end: (bool, u32)) -> usize {
        self.at.get(&end).map_or(0, BTreeSet::len)
    }

    /// How many other pairs that are left share an end with one.
    fn beside(&self, [one, other]: Ends) -> usize {
        if one == other { self.at(one) - 1 } else { self.at(one) + self.at(other) - 2 }
    }

    fn take(&mut self, id: Pair, ends: Ends) {
        for end in ends {
            if let Some(left) = self.at.get_mut(&end) {
                left.remove(&id);
            }
        }
    }
}

fn walk(pairs: &IdVec<Pair, Ends>) -> Vec<Pair> {
    let mut left = Left::new(pairs);
    // A walk begins where one other pair is left; the order of these is kept as pairs are taken.
    let mut waiting: BTreeSet<Pair> = pairs.ids().collect();
    let mut pendant: BTreeSet<Pair> = pairs.iter().filter(|(_, ends)| left.beside(**ends) == 1).map(|(id, _)| id).collect();
    let mut walk = Vec::with_capacity(pairs.len());
    while let Some(first) = pendant.iter().find(|id| waiting.contains(id)).or(waiting.first()).copied() {
        let mut at = first;
        loop {
            waiting.remove(&at);
            pendant.remove(&at);
            left.take(at, pairs[at]);
            walk.push(at);
            let beside = pairs[at].into_iter().filter_map(|end| left.at.get(&end)).flatten().copied();
            let Some(next) = beside.min_by_key(|id| (left.beside(pairs[*id]), *id)) else { break };
            at = next;
        }
    }
    walk
}

/// The least number of leads that go to another end in any order of pairs.
fn bound(pairs: &IdVec<Pair, Ends>) -> usize {
    let left = Left::new(pairs);
    let mut groups: Groups<Pair> = Groups::new(pairs.len());
    for beside in left.at.values() {
        for (one, other) in beside.iter().zip(beside.iter().skip(1)) {
            groups.join(*one, *other);
        }
    }
    let mut pendants: BTreeMap<Pair, usize> = BTreeMap::new();
    for (id, ends) in pairs.iter() {
        *pendants.entry(groups.of(id)).or_default() += usize::from(left.beside(*ends) == 1);
    }
    let walks: usize = pendants.values().map(|pendants| pendants.div_ceil(2).max(1)).sum();
    (pairs.len() + walks).saturating_sub(2)
}

#[cfg(test)]
mod tests {
    use super::{Ends, Pair, bound, moved, walk};
    use crate::arena::IdVec;
    use proptest::prelude::*;

    fn cost(pairs: &IdVec<Pair, Ends>, order: &[Pair]) -> usize {
        order.windows(2).map(|pair| moved(pairs[pair[0]], pairs[pair[1]])).sum()
    }

    /// The least over all orders, tried one by one.
    fn least(pairs: &IdVec<Pair, Ends>, so_far: &mut Vec<Pair>, best: &mut usize) {
        if so_far.len() == pairs.len() {
            *best = (*best).min(cost(pairs, so_far));
            return;
        }
        for id in pairs.ids() {
            if !so_far.contains(&id) {
                so_far.push(id);
                least(pairs, so_far, best);
                so_far.pop();
            }
        }
    }

    proptest! {
        #[test]
        fn no_order_is_below_the_bound_and_ours_is_near_the_best(ends in prop::collection::btree_set((0u32..5, 0u32..5), 1..7)) {
            let sorted: std::collections::BTreeSet<Ends> =
                ends.into_iter().map(|(a, b)| [(false, a.min(b)), (false, a.max(b))]).collect();
            let pairs: IdVec<Pair, Ends> = sorted.into_iter().collect();
            let own = walk(&pairs);
            let mut seen = own.clone();
            seen.sort_unstable();
            prop_assert_eq!(seen, pairs.ids().collect::<Vec<_>>());
            let mut best = usize::MAX;
            least(&pairs, &mut Vec::new(), &mut best);
            prop_assert!(bound(&pairs) <= best, "bound {} above the best {best}", bound(&pairs));
            prop_assert!(cost(&pairs, &own) <= best + 2, "ours {} and the best {best}", cost(&pairs, &own));
        }
    }

    #[test]
    fn a_star_of_plugs_with_neighbours_is_walked_as_well_as_can_be() {
        let pairs: IdVec<Pair, Ends> =
            (1..9).flat_map(|plug| [[(false, 0), (false, plug)], [(false, plug), (false, plug)]]).collect();
        assert_eq!(cost(&pairs, &walk(&pairs)), bound(&pairs));
        // Sixteen pairs, eight of them touched by one other: four walks.
        assert_eq!(bound(&pairs), 15 + 3);
    }
}
