//! Points sorted into groups by what joins them.
//!
//! A general union-find picks its roots by rank, and numbering the groups by their first points then takes a table and a pass more;
//! groups are sought a dozen times a run, which makes that the larger part of them. So a set here has its first point as root.

use crate::{
    arena::{IdVec, ids},
    model::PointId,
};

ids! {
    /// A group of points, by the order of their first points. It means nothing to any other [`Components`].
    GroupId;
}

/// Points sorted into groups, each with its points in order.
#[derive(Debug, Default, Clone)]
pub struct Components {
    of: IdVec<PointId, GroupId>,
    /// Where the points of each group end in `members`; they begin where those of the group before end.
    ends: IdVec<GroupId, u32>,
    members: Vec<PointId>,
}

impl Components {
    /// The group that holds `point`, which is a point of the network that the groups were made of.
    #[must_use]
    #[track_caller]
    pub fn of(&self, point: PointId) -> GroupId {
        self.of[point]
    }

    /// How many groups there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The points of `group`, in order; at least one.
    #[must_use]
    #[track_caller]
    #[expect(clippy::indexing_slicing, reason = "a group of other components is a fault of this library and must be loud")]
    pub fn members(&self, group: GroupId) -> &[PointId] {
        let start = group.0.checked_sub(1).map_or(0, |before| self.ends[GroupId(before)]);
        &self.members[start as usize..self.ends[group] as usize]
    }

    /// The first point of `group`.
    #[must_use]
    #[track_caller]
    #[expect(clippy::indexing_slicing, reason = "a group has at least one point")]
    pub fn first(&self, group: GroupId) -> PointId {
        self.members(group)[0]
    }

    /// The groups with their points, in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (GroupId, &[PointId])> {
        self.ends.ids().map(|group| (group, self.members(group)))
    }

    /// A table with `value` for each group.
    #[must_use]
    pub fn table<T: Clone>(&self, value: T) -> IdVec<GroupId, T> {
        IdVec::of(value, self.len())
    }
}

/// Disjoint sets of points, each with its first point as root.
///
/// Bare numbers and slices: groups are sought more than a hundred times a run, and an everyday build calls a function for each typed index.
pub(super) struct Sets {
    /// The number of a point of the same set that comes before it, or its own if it is the first.
    above: Vec<u32>,
}

impl Sets {
    /// Each point in a set of its own.
    pub(super) fn new(points: usize) -> Self {
        Self { above: (0..points as u32).collect() }
    }

    /// Makes the sets of two points one.
    #[expect(clippy::indexing_slicing, reason = "a point of another network is a fault of this library and must be loud")]
    pub(super) fn join(&mut self, a: PointId, b: PointId) {
        let above: &mut [u32] = &mut self.above;
        let (a, b) = (root(above, a.0), root(above, b.0));
        if a < b {
            above[b as usize] = a;
        } else {
            above[a as usize] = b;
        }
    }

    /// The groups, numbered by their first points.
    #[expect(clippy::indexing_slicing, reason = "the numbers are counted here")]
    pub(super) fn into_components(self) -> Components {
        let above: &[u32] = &self.above;
        let mut of = vec![GroupId(0); above.len()];
        let mut ends: Vec<u32> = Vec::new();
        let (groups, mut count) = (of.as_mut_slice(), 0);
        for (point, up) in above.iter().enumerate() {
            // What comes before a point has its group already.
            if *up as usize == point {
                groups[point] = GroupId(count);
                count += 1;
            } else {
                groups[point] = groups[*up as usize];
            }
        }
        ends.resize(count as usize, 0);
        let slots = ends.as_mut_slice();
        for group in groups.iter() {
            slots[group.0 as usize] += 1;
        }
        // Where the next point of each group goes: from its start up to its end.
        let mut sum = 0;
        for slot in slots.iter_mut() {
            sum += std::mem::replace(slot, sum);
        }
        let mut members = vec![PointId(0); above.len()];
        let list = members.as_mut_slice();
        for (point, group) in groups.iter().enumerate() {
            let slot = &mut slots[group.0 as usize];
            list[*slot as usize] = PointId(point as u32);
            *slot += 1;
        }
        Components { of: of.into(), ends: ends.into(), members }
    }
}

/// The first point of the set of `point`.
#[expect(clippy::indexing_slicing, reason = "a point of another network is a fault of this library and must be loud")]
fn root(above: &mut [u32], mut point: u32) -> u32 {
    loop {
        let up = above[point as usize];
        if up == point {
            return point;
        }
        // Halving the way as it is walked keeps ways short.
        let next = above[up as usize];
        above[point as usize] = next;
        point = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_are_numbered_by_their_first_points_and_list_them_in_order() {
        let mut sets = Sets::new(6);
        for (a, b) in [(5, 1), (3, 5), (4, 0)] {
            sets.join(PointId(a), PointId(b));
        }
        let groups = sets.into_components();
        let found: Vec<Vec<u32>> = groups.iter().map(|(_, points)| points.iter().map(|point| point.0).collect()).collect();
        assert_eq!(found, [vec![0, 4], vec![1, 3, 5], vec![2]]);
        assert_eq!((0..6).map(|point| groups.of(PointId(point)).0).collect::<Vec<_>>(), [0, 1, 2, 1, 0, 1]);
    }

    #[test]
    #[should_panic(expected = "index out of bounds")]
    fn a_point_of_another_network_is_loud() {
        let _ = Sets::new(2).into_components().of(PointId(2));
    }
}
