//! A network of resistances, solved by taking out one node after the other; a few changed branches cost only the nodes behind them.
//!
//! Idea: a node that is taken out leaves between its neighbours what it let through (star to mesh). Every conductance is a sum of
//! positive numbers and no difference is ever taken, so that a wire that alone leads to a load can be opened without a loss of digits:
//! the formula of Sherman, Morrison and Woodbury divides by nothing there. The last node of each piece has no neighbour left: it is
//! the zero of that piece, so pieces that come apart or together need no care. A changed branch changes what its earlier node leaves,
//! and so on to the last node of the piece: [`Meshed`] keeps what differs from the [`Mesh`] and takes those nodes out anew.
//!
//! Cost: taking out is nearly linear, because harnesses are nearly trees. A change costs the way to the last node, a solution one pass.

use super::{rising::Rising, table::Table};
use rustc_hash::FxHashMap;
use std::{cmp::Reverse, collections::BinaryHeap};

/// One list for each of many places, in one piece of memory.
#[derive(Debug, Default)]
struct Lists<T> {
    first: Vec<u32>,
    items: Vec<T>,
}

impl<T: Copy + Default> Lists<T> {
    /// Items of places below `places`, each list in the order in which its items come.
    fn sorted(places: u32, items: impl Iterator<Item = (u32, T)> + Clone) -> Self {
        let mut first = vec![0_u32; places as usize + 1];
        for (place, _) in items.clone() {
            if let Some(many) = first.get_mut(place as usize + 1) {
                *many += 1;
            }
        }
        let mut past = 0;
        for slot in &mut first {
            past += *slot;
            *slot = past;
        }
        let mut next = first.clone();
        let mut sorted = vec![T::default(); past as usize];
        for (place, item) in items {
            let Some(at) = next.get_mut(place as usize) else { continue };
            if let Some(slot) = sorted.get_mut(*at as usize) {
                *slot = item;
            }
            *at += 1;
        }
        Self { first, items: sorted }
    }

    #[inline]
    fn at(&self, place: u32) -> &[T] {
        match (self.first.get(place as usize), self.first.get(place as usize + 1)) {
            (Some(first), Some(past)) => self.items.get(*first as usize..*past as usize).unwrap_or_default(),
            _ => &[],
        }
    }
}

/// Lists that grow at their ends, for each of many places.
#[derive(Debug)]
struct Queues {
    /// Per place: its first and its last item.
    ends: Table<Option<(u32, u32)>>,
    /// Each item with the one behind it.
    items: Vec<(u32, Option<u32>)>,
}

impl Queues {
    fn new(places: u32) -> Self {
        Self { ends: Table::new(places as usize), items: Vec::with_capacity(places as usize) }
    }

    fn push(&mut self, place: u32, item: u32) {
        let at = self.items.len() as u32;
        self.items.push((item, None));
        let first = match self.ends.at(place) {
            Some((first, last)) => {
                if let Some(last) = self.items.get_mut(last as usize) {
                    last.1 = Some(at);
                }
                first
            }
            None => at,
        };
        self.ends.set(place, Some((first, at)));
    }

    fn of(&self, place: u32) -> impl Iterator<Item = u32> + '_ {
        let mut next = self.ends.at(place).map(|ends| ends.0);
        std::iter::from_fn(move || {
            let (item, behind) = *self.items.get(next? as usize)?;
            next = behind;
            Some(item)
        })
    }
}

/// What a node left when it was taken out: later places with the share of its conductance that leads to each, ascending.
#[derive(Debug, Clone, Default)]
struct Column {
    arms: Vec<(u32, f64)>,
    /// The sum of its conductances then; zero for the last node of a piece.
    siemens: f64,
}

/// The nodes of a network in the order in which they are taken out.
#[derive(Debug)]
pub(super) struct Mesh {
    /// Per node: its place in the order.
    place: Table<u32>,
    /// Per place: the branches to later places, with these.
    own: Lists<(u32, u32)>,
    /// Per branch.
    siemens: Table<f64>,
    arms: Lists<(u32, f64)>,
    /// Per place: the sum of its conductances.
    sum: Table<f64>,
    /// Per place: earlier places with an arm to it.
    feeders: Lists<u32>,
}

impl Mesh {
    /// Takes out all nodes. A branch of no conductance is there to be given one later.
    pub(super) fn new(nodes: u32, ends: &Table<(u32, u32)>, siemens: Vec<f64>) -> Self {
        let siemens = Table::of(siemens);
        let place = order(nodes, ends, &siemens);
        let between = ends.list().iter().zip(0..).filter(|((from, to), _)| *from < nodes && *to < nodes && from != to);
        let own = between.map(|(&(from, to), branch)| {
            let (one, other) = (place.at(from), place.at(to));
            (one.min(other), (branch, one.max(other)))
        });
        let own = Lists::sorted(nodes, own);
        let mut arms = Lists { first: Vec::with_capacity(nodes as usize + 1), items: Vec::with_capacity(nodes as usize) };
        arms.first.push(0);
        let mut sum = Table::new(nodes as usize);
        let mut feeders = Queues::new(nodes);
        let mut gatherer = Gatherer::new(nodes);
        for place in 0..nodes {
            for &(branch, other) in own.at(place) {
                gatherer.add(other, siemens.at(branch));
            }
            for feeder in feeders.of(place) {
                gatherer.pass(place, arms.at(feeder), sum.at(feeder));
            }
            sum.set(place, gatherer.drain_into(&mut arms.items));
            arms.first.push(arms.items.len() as u32);
            for &(arm, _) in arms.at(place) {
                feeders.push(arm, place);
            }
        }
        let fed = (0..nodes).flat_map(|place| arms.at(place).iter().map(move |(arm, _)| (*arm, place)));
        let feeders = Lists::sorted(nodes, fed);
        Self { place, own, siemens, sum, arms, feeders }
    }
}

/// Adds up what leads from one place to later ones.
#[derive(Debug)]
struct Gatherer {
    siemens: Table<f64>,
    found: Vec<u32>,
}

impl Gatherer {
    fn new(places: u32) -> Self {
        Self { siemens: Table::new(places as usize), found: Vec::new() }
    }

    #[inline]
    fn add(&mut self, place: u32, siemens: f64) {
        if siemens > 0.0 {
            if self.siemens.at(place) == 0.0 {
                self.found.push(place);
            }
            self.siemens.add(place, siemens);
        }
    }

    /// Adds what an earlier place with these arms passes on from `place` to later ones.
    #[inline]
    fn pass(&mut self, place: u32, arms: &[(u32, f64)], sum: f64) {
        let Ok(at) = arms.binary_search_by_key(&place, |arm| arm.0) else { return };
        let own = arms.get(at).map_or(0.0, |arm| arm.1) * sum;
        for &(later, share) in arms.get(at + 1..).unwrap_or_default() {
            self.add(later, own * share);
        }
    }

    /// Adds what was gathered to these arms, and nothing is left; gives the sum.
    fn drain_into(&mut self, arms: &mut Vec<(u32, f64)>) -> f64 {
        self.found.sort_unstable();
        let sum: f64 = self.found.iter().map(|place| self.siemens.at(*place)).sum();
        arms.extend(self.found.iter().map(|place| (*place, self.siemens.at(*place) / sum)));
        for place in self.found.drain(..) {
            self.siemens.set(place, 0.0);
        }
        sum
    }
}

/// The place of each node: that with the fewest neighbours left is taken out first, of several the one of lowest number.
fn order(nodes: u32, ends: &Table<(u32, u32)>, siemens: &Table<f64>) -> Table<u32> {
    let mut near: Vec<Vec<u32>> = vec![Vec::new(); nodes as usize];
    for (&(from, to), branch) in ends.list().iter().zip(0..) {
        if from != to && siemens.at(branch) > 0.0 {
            for (one, other) in [(from, to), (to, from)] {
                if let Some(list) = near.get_mut(one as usize) {
                    list.push(other);
                }
            }
        }
    }
    for list in &mut near {
        list.sort_unstable();
        list.dedup();
    }
    // Neighbours and node in one number: cheaper to compare than two.
    let ranked = |list: &Vec<u32>, node: u32| Reverse(((list.len() as u64) << 32) | u64::from(node));
    let mut waiting: BinaryHeap<Reverse<u64>> = near.iter().zip(0..).map(|(list, node)| ranked(list, node)).collect();
    let mut place = Table::<u32>::new(nodes as usize);
    let mut done = Table::<bool>::new(nodes as usize);
    let mut next = 0;
    while let Some(rank) = waiting.pop() {
        let node = rank.0 as u32;
        let is_stale = near.get(node as usize).is_none_or(|list| ranked(list, node) != rank);
        if done.at(node) || is_stale {
            continue;
        }
        done.set(node, true);
        place.set(node, next);
        next += 1;
        let around = near.get_mut(node as usize).map(std::mem::take).unwrap_or_default();
        for &one in &around {
            let Some(list) = near.get_mut(one as usize) else { continue };
            if let Ok(at) = list.binary_search(&node) {
                list.remove(at);
            }
            for &other in around.iter().filter(|other| **other != one) {
                if let Err(at) = list.binary_search(&other) {
                    list.insert(at, other);
                }
            }
            waiting.push(ranked(list, one));
        }
    }
    place
}

/// A mesh of which a few branches have other conductances.
#[derive(Debug)]
pub(super) struct Meshed<'m> {
    mesh: &'m Mesh,
    /// Conductances that differ, by branch.
    siemens: FxHashMap<u32, f64>,
    /// Branches that the mesh does not have, by their earlier place, with the later one.
    added: FxHashMap<u32, Vec<(u32, u32)>>,
    /// Per place: the number, from one, of its column where it differs.
    slot: Table<u32>,
    columns: Vec<Column>,
    /// Earlier places that have an arm to a place only since the change.
    feeders: FxHashMap<u32, Vec<u32>>,
    gatherer: Gatherer,
    /// A column that is none any more, whose memory the next one takes.
    spare: Column,
    dirty: Rising,
    flow: Table<f64>,
}

impl<'m> Meshed<'m> {
    /// The mesh as it is.
    pub(super) fn new(mesh: &'m Mesh) -> Self {
        let places = mesh.place.list().len();
        Self {
            mesh,
            siemens: FxHashMap::default(),
            added: FxHashMap::default(),
            slot: Table::new(places),
            columns: Vec::new(),
            feeders: FxHashMap::default(),
            gatherer: Gatherer::new(places as u32),
            spare: Column::default(),
            dirty: Rising::below(places as u32),
            flow: Table::new(places),
        }
    }

    /// Gives a branch another conductance; [`update`](Self::update) makes it count.
    pub(super) fn set(&mut self, branch: u32, (from, to): (u32, u32), siemens: f64) {
        let known = self.siemens.get(&branch).copied();
        if known.unwrap_or_else(|| self.mesh.siemens.at(branch)) == siemens || from == to {
            return;
        }
        self.siemens.insert(branch, siemens);
        let (one, other) = (self.mesh.place.at(from), self.mesh.place.at(to));
        let (first, last) = (one.min(other), one.max(other));
        if branch as usize >= self.mesh.siemens.list().len() && known.is_none() {
            self.added.entry(first).or_default().push((branch, last));
        }
        self.dirty.insert(first);
    }

    /// Takes out anew all nodes that leave something else.
    pub(super) fn update(&mut self) {
        while let Some(place) = self.dirty.pop() {
            for &(branch, other) in self.mesh.own.at(place).iter().chain(self.added.get(&place).into_iter().flatten()) {
                let siemens = self.siemens.get(&branch).copied().unwrap_or_else(|| self.mesh.siemens.at(branch));
                self.gatherer.add(other, siemens);
            }
            for &feeder in self.mesh.feeders.at(place).iter().chain(self.feeders.get(&place).into_iter().flatten()) {
                let slot = self.slot.at(feeder) as usize;
                match slot.checked_sub(1).and_then(|slot| self.columns.get(slot)) {
                    Some(column) => self.gatherer.pass(place, &column.arms, column.siemens),
                    None => self.gatherer.pass(place, self.mesh.arms.at(feeder), self.mesh.sum.at(feeder)),
                }
            }
            let mut column = std::mem::take(&mut self.spare);
            column.arms.clear();
            column.siemens = self.gatherer.drain_into(&mut column.arms);
            if self.arms(place) == column.arms && self.sum(place) == column.siemens {
                self.spare = column;
                continue;
            }
            // What was an arm and is none now has lost something too.
            let Self { dirty, mesh, columns, slot, .. } = self;
            let before = columns.get((slot.at(place) as usize).wrapping_sub(1)).map_or(mesh.arms.at(place), |old| &old.arms);
            before.iter().chain(&column.arms).for_each(|arm| dirty.insert(arm.0));
            let is_in = |list: &[(u32, f64)], place: u32| list.binary_search_by_key(&place, |arm| arm.0).is_ok();
            for &(arm, _) in column.arms.iter().filter(|arm| !is_in(self.mesh.arms.at(place), arm.0)) {
                let feeders = self.feeders.entry(arm).or_default();
                if !feeders.contains(&place) {
                    feeders.push(place);
                }
            }
            match (self.slot.at(place) as usize).checked_sub(1).and_then(|slot| self.columns.get_mut(slot)) {
                Some(slot) => self.spare = std::mem::replace(slot, column),
                None => {
                    self.columns.push(column);
                    self.slot.set(place, self.columns.len() as u32);
                }
            }
        }
    }

    #[inline]
    fn arms(&self, place: u32) -> &[(u32, f64)] {
        match (self.slot.at(place) as usize).checked_sub(1).and_then(|slot| self.columns.get(slot)) {
            Some(column) => &column.arms,
            None => self.mesh.arms.at(place),
        }
    }

    #[inline]
    fn sum(&self, place: u32) -> f64 {
        match (self.slot.at(place) as usize).checked_sub(1).and_then(|slot| self.columns.get(slot)) {
            Some(column) => column.siemens,
            None => self.mesh.sum.at(place),
        }
    }

    /// Adds a current into a node to what [`solve`](Self::solve) is about to solve for.
    pub(super) fn inject(&mut self, node: u32, amps: f64) {
        self.flow.add(self.mesh.place.at(node), amps);
    }

    /// The voltage of each node, against the last node of its piece, for the currents that were injected; these are used up.
    pub(super) fn solve(&mut self, volts: &mut Table<f64>) {
        let places = self.flow.list().len() as u32;
        for place in 0..places {
            let flow = self.flow.at(place);
            if flow != 0.0 {
                let (slot, arms) = (self.slot.at(place), self.mesh.arms.at(place));
                let arms = if slot == 0 { arms } else { self.columns.get(slot as usize - 1).map_or(arms, |column| &column.arms) };
                for &(arm, share) in arms {
                    self.flow.add(arm, share * flow);
                }
            }
        }
        for place in (0..places).rev() {
            let sum = self.sum(place);
            let at = if sum > 0.0 {
                let own = self.flow.at(place) / sum;
                self.arms(place).iter().fold(own, |at, &(arm, share)| at + share * self.flow.at(arm))
            } else {
                0.0
            };
            self.flow.set(place, at);
        }
        for (slot, &place) in (0..).zip(self.mesh.place.list()) {
            volts.set(slot, self.flow.at(place));
        }
        self.flow.fill(0.0);
    }
}
