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
pub(super) struct Sets {
    /// A point of the same set with a lower number, or the point itself if it is the first.
    above: IdVec<PointId, PointId>,
}

impl Sets {
    /// Each point in a set of its own.
    pub(super) fn new(points: usize) -> Self {
        Self { above: (0..points).map(PointId::from_index).collect() }
    }

    fn root(&mut self, mut point: PointId) -> PointId {
        loop {
            let above = self.above[point];
            if above == point {
                return point;
            }
            // Halving the way as it is walked keeps ways short.
            let next = self.above[above];
            self.above[point] = next;
            point = next;
        }
    }

    /// Makes the sets of two points one.
    pub(super) fn join(&mut self, a: PointId, b: PointId) {
        let (a, b) = (self.root(a), self.root(b));
        self.above[a.max(b)] = a.min(b);
    }

    /// The groups, numbered by their first points.
    #[expect(clippy::indexing_slicing, reason = "the numbers are counted here")]
    pub(super) fn into_components(mut self) -> Components {
        let mut of: IdVec<PointId, GroupId> = IdVec::new();
        of.reserve_exact(self.above.len());
        let mut counts: IdVec<GroupId, u32> = IdVec::new();
        for point in self.above.ids() {
            let root = self.root(point);
            // A root is met before all others of its group.
            let group = if root == point { counts.push(0) } else { of[root] };
            counts[group] += 1;
            of.push(group);
        }
        // Where the next point of each group goes: from its start up to its end.
        let mut sum = 0;
        let starts = counts.items().iter().map(|count| {
            sum += count;
            sum - count
        });
        let mut ends: IdVec<GroupId, u32> = starts.collect();
        let mut members = vec![PointId(0); of.len()];
        for (point, group) in of.iter() {
            let slot = &mut ends[*group];
            members[*slot as usize] = point;
            *slot += 1;
        }
        Components { of, ends, members }
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
