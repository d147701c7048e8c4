//! The return that all circuits of a fuse box share.
//!
//! The feed of a box is judged by the fuse before the box, because that is what it may come to carry for long. Where all that the box feeds
//! goes back through one conductor, this carries the same: what the fuses of the box let through together, at most what the fuse before it
//! does. A ground that only some circuits share carries one overload at a time, and goes by the largest of their fuses. Circuits whose loads
//! run in different modes do not add up, and a source at the end of a circuit takes nothing.
//!
//! Cost: a pass over the loads, and for each box the way from each of its loads.

use super::{
    Feed, SectionId,
    forest::Forest,
    grounds::{Drain, Limit, Passage, Pole, Search},
};
use crate::{
    model::{ElementId, ModeId, PointId},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// A fuse with the section that it alone feeds.
#[derive(Clone, Copy)]
struct Branch {
    limit: Limit,
    section: SectionId,
}

/// What the fuses of a box let through in one mode, and which of them decide.
#[derive(Default)]
struct Sum {
    amps: Ampere,
    by: Vec<ElementId>,
}

/// The fuses behind each section and the loads of each.
struct Boxes<'a> {
    branches: FxHashMap<SectionId, Vec<Branch>>,
    drains: FxHashMap<SectionId, Vec<&'a Drain>>,
}

/// The ways from where all that a fuse box feeds has come together to the pole of its source.
pub(super) fn common(search: &Search<'_>, feeds: &[Feed], drains: &[Drain], poles: &[Pole]) -> Vec<Passage> {
    let mut into: FxHashMap<SectionId, Vec<(Limit, SectionId)>> = FxHashMap::default();
    for (section, limit, from) in search.inlets(feeds) {
        into.entry(section).or_default().push((limit, from));
    }
    let mut boxes = Boxes { branches: FxHashMap::default(), drains: FxHashMap::default() };
    for (section, feeders) in &into {
        if let [(limit, from)] = feeders.as_slice() {
            boxes.branches.entry(*from).or_default().push(Branch { limit: *limit, section: *section });
        }
    }
    boxes.branches.values_mut().for_each(|branches| branches.sort_unstable_by_key(|branch| branch.limit.fuse));
    for drain in drains.iter().filter(|drain| drain.draws) {
        boxes.drains.entry(drain.section).or_default().push(drain);
    }
    let modes: Vec<ModeId> = search.network.model().modes().map(|(mode, _)| mode).collect();
    let mut sections: Vec<SectionId> = boxes.branches.keys().copied().filter(|section| into.contains_key(section)).collect();
    sections.sort_unstable();
    let mut found = Vec::new();
    for section in sections {
        // What is fed directly goes back by the fuse before the box anyhow.
        if boxes.drains.contains_key(&section) {
            continue;
        }
        let before: Ampere = into.get(&section).into_iter().flatten().map(|(limit, _)| limit.rating).sum();
        let largest = into.get(&section).into_iter().flatten().map(|(limit, _)| *limit).reduce(Limit::larger);
        let mut below: Vec<&Drain> = Vec::new();
        boxes.below(section, &mut FxHashSet::default(), &mut below);
        below.sort_unstable_by_key(|drain| (drain.place, drain.at));
        for group in below.chunk_by(|a, b| a.place == b.place) {
            let (Some(first), Some(largest)) = (group.first(), largest) else { continue };
            let at = poles.partition_point(|pole| pole.place < first.place);
            let Some(main) = poles.get(at).filter(|pole| pole.place == first.place && !pole.limited) else { continue };
            let own: FxHashSet<PointId> = group.iter().map(|drain| drain.at).collect();
            let sums = modes.iter().map(|mode| boxes.sum(section, *mode, &own));
            let Some(sum) = sums.reduce(|most, one| if one.amps > most.amps { one } else { most }) else { continue };
            if sum.by.len() < 2 {
                continue;
            }
            let ends: Vec<PointId> = group.iter().map(|drain| drain.at).collect();
            let Some(meet) = meeting(&search.forest, &ends, main.at) else { continue };
            let main_fuse = Limit { rating: before, fuse: largest.fuse }.least(main.first);
            let way =
                |limit: Limit, branches: Vec<ElementId>| Passage { limit, branches, of: main_fuse.fuse, from: meet, to: main.at };
            found.push(if sum.amps < main_fuse.rating {
                way(Limit { rating: sum.amps, fuse: main_fuse.fuse }, sum.by)
            } else {
                way(main_fuse, Vec::new())
            });
        }
    }
    found
}

impl<'a> Boxes<'a> {
    /// The loads behind the fuses of a box.
    fn below(&self, section: SectionId, seen: &mut FxHashSet<SectionId>, found: &mut Vec<&'a Drain>) {
        let mut waiting = vec![section];
        while let Some(section) = waiting.pop() {
            if !seen.insert(section) {
                continue;
            }
            found.extend(self.drains.get(&section).into_iter().flatten());
            waiting.extend(self.branches.get(&section).into_iter().flatten().map(|branch| branch.section));
        }
    }

    /// What the fuses of a box let through to loads that run in a mode and go back from `ends`.
    fn sum(&self, section: SectionId, mode: ModeId, ends: &FxHashSet<PointId>) -> Sum {
        // Boxes behind boxes, the last of them first.
        let mut order = vec![section];
        let mut seen: FxHashSet<SectionId> = FxHashSet::from_iter([section]);
        let mut next = 0;
        while let Some(section) = order.get(next).copied() {
            next += 1;
            let branches = self.branches.get(&section).into_iter().flatten();
            order.extend(branches.map(|branch| branch.section).filter(|section| seen.insert(*section)));
        }
        let mut sums: FxHashMap<SectionId, Sum> = FxHashMap::default();
        for section in order.into_iter().rev() {
            let mut all = Sum::default();
            for branch in self.branches.get(&section).into_iter().flatten() {
                let drains = self.drains.get(&branch.section).into_iter().flatten();
                let mut drains = drains.filter(|drain| ends.contains(&drain.at) && drain.modes.has(mode));
                let behind = sums.remove(&branch.section).unwrap_or_default();
                let own = Sum { amps: branch.limit.rating, by: vec![branch.limit.fuse] };
                let least = match drains.next() {
                    Some(_) => own,
                    None if behind.amps < own.amps => behind,
                    None => own,
                };
                all.amps += least.amps;
                all.by.extend(least.by);
            }
            sums.insert(section, all);
        }
        sums.remove(&section).unwrap_or_default()
    }
}

/// Where the ways from all of `ends` to `pole` have come together; `None` for points of several trees.
fn meeting(forest: &Forest, ends: &[PointId], pole: PointId) -> Option<PointId> {
    let (first, others) = ends.split_first()?;
    others.iter().try_fold(*first, |meet, end| forest.middle([meet, *end, pole]))
}
