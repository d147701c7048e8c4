//! Contacts that are never closed together, and the closures that follow: in each as much is closed as may be at one time.

use super::Closure;
use crate::{
    arena::IdVec,
    network::{Edge, EdgeId, EdgeRole, GroupId, Network},
};
use rustc_hash::FxHashSet;
use std::collections::{BTreeMap, BTreeSet};

/// Most closures that are added so that contacts of different groups meet in all combinations; each contact is closed in some closure
/// whatever their number.
const MOST_MIXED: usize = 16;
/// Pairs of contacts that are never closed together.
#[derive(Debug, Default)]
pub(super) struct Conflicts {
    of: BTreeMap<EdgeId, BTreeSet<EdgeId>>,
    /// Contacts that are left open in all closures.
    never: FxHashSet<EdgeId>,
}

impl Conflicts {
    pub(super) fn add(&mut self, one: EdgeId, other: EdgeId) {
        self.of.entry(one).or_default().insert(other);
        self.of.entry(other).or_default().insert(one);
    }

    pub(super) fn add_some(&mut self, one: Option<EdgeId>, other: Option<EdgeId>) {
        if let (Some(one), Some(other)) = (one, other) {
            self.add(one, other);
        }
    }

    pub(super) fn never_closed(&mut self, edge: EdgeId) {
        self.never.insert(edge);
    }

    /// Forgets the contacts that choose between nothing: where at most one thing that feeds, takes back or protects is joined by them,
    /// closing all of them changes no answer. Most changeover relays choose between two loads.
    pub(super) fn keep_what_matters(&mut self, network: &Network) {
        if self.of.is_empty() {
            return;
        }
        // Diodes may block: what only they join is not one thing yet.
        let plain = |edge: &Edge| edge.role.passes_faults() && edge.role != EdgeRole::Diode;
        let apart = network.components(|id, edge| plain(edge) && !self.of.contains_key(&id));
        let joined = network.components(|_, edge| edge.role.passes_faults());
        let mut first: IdVec<GroupId, Option<GroupId>> = joined.table(None);
        let mut matters: IdVec<GroupId, bool> = joined.table(false);
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives() || edge.role.is_fuse()) {
            for point in [edge.a, edge.b] {
                let (group, of) = (apart.of(point), joined.of(point));
                matters[of] |= first[of].get_or_insert(group) != &group;
            }
        }
        self.of.retain(|id, _| matters[joined.of(network[*id].a)]);
        let kept: BTreeSet<EdgeId> = self.of.keys().copied().collect();
        self.of.values_mut().for_each(|others| others.retain(|other| kept.contains(other)));
    }

    /// Closures in which each contact is closed at least once, and contacts of different groups meet in many combinations.
    pub(super) fn closures(&self, network: &Network) -> Vec<Closure> {
        let groups = self.groups();
        let colours = groups.values().map(|(_, colour)| colour + 1).max().unwrap_or(1);
        let bits = usize::BITS - groups.values().map(|(group, _)| *group).max().unwrap_or(0).leading_zeros();
        let plain = (0..colours).map(|shift| (shift, None));
        let mixed = (0..bits).flat_map(|bit| (0..colours).map(move |shift| (shift, Some(bit)))).take(MOST_MIXED);
        let mut closures: Vec<Closure> = Vec::new();
        for (shift, bit) in plain.chain(mixed) {
            let rank = |(group, colour): &(usize, usize)| {
                let more = bit.is_some_and(|bit| group >> bit & 1 == 1);
                (colour + shift + usize::from(more)) % colours
            };
            let mut order: Vec<(usize, EdgeId)> = groups.iter().map(|(edge, place)| (rank(place), *edge)).collect();
            order.sort_unstable();
            let mut closed: FxHashSet<EdgeId> = FxHashSet::default();
            let mut open = self.never.clone();
            for (_, edge) in order {
                let free = self.of.get(&edge).is_none_or(|others| others.iter().all(|other| !closed.contains(other)));
                if free && !self.never.contains(&edge) {
                    closed.insert(edge);
                } else {
                    open.insert(edge);
                }
            }
            let closure = Closure { open };
            if !closures.contains(&closure) {
                closures.push(closure);
            }
        }
        closures.iter_mut().for_each(|closure| closure.block_diodes(network));
        closures
    }

    /// Each contact with the number of its group, of which none depends on another, and a colour that no contact has with which it is
    /// never closed together.
    fn groups(&self) -> BTreeMap<EdgeId, (usize, usize)> {
        let mut found: BTreeMap<EdgeId, (usize, usize)> = BTreeMap::new();
        let mut groups = 0;
        for start in self.of.keys() {
            if found.contains_key(start) {
                continue;
            }
            let mut waiting = vec![*start];
            while let Some(edge) = waiting.pop() {
                if found.contains_key(&edge) {
                    continue;
                }
                let others = self.of.get(&edge);
                let taken: BTreeSet<usize> =
                    others.into_iter().flatten().filter_map(|other| found.get(other)).map(|(_, colour)| *colour).collect();
                let colour = (0..).find(|colour| !taken.contains(colour)).unwrap_or_default();
                found.insert(edge, (groups, colour));
                waiting.extend(others.into_iter().flatten().copied());
            }
            groups += 1;
        }
        found
    }
}

impl Closure {
    /// Opens the diodes that block: those that lead neither away from a positive pole nor towards a negative one, though they are at
    /// one of them.
    fn block_diodes(&mut self, network: &Network) {
        let is_diode = |edge: &Edge| edge.role == EdgeRole::Diode;
        let diodes: Vec<(EdgeId, &Edge)> = network.edges().filter(|(_, edge)| is_diode(edge)).collect();
        if diodes.is_empty() {
            return;
        }
        let groups = network.components(|id, edge| self.conducts(id, edge) && !is_diode(edge));
        let (mut hot, mut cold) = (groups.table(false), groups.table(false));
        for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
            hot[groups.of(edge.b)] = true;
            cold[groups.of(edge.a)] = true;
        }
        // A diode that leads on from something positive makes what is behind it positive, and so on.
        loop {
            let mut changed = false;
            for (_, edge) in &diodes {
                let (anode, cathode) = (groups.of(edge.a), groups.of(edge.b));
                if hot[anode] && !hot[cathode] && !cold[cathode] {
                    (hot[cathode], changed) = (true, true);
                }
                if cold[cathode] && !cold[anode] && !hot[anode] {
                    (cold[anode], changed) = (true, true);
                }
            }
            if !changed {
                break;
            }
        }
        for (id, edge) in diodes {
            let (anode, cathode) = (groups.of(edge.a), groups.of(edge.b));
            let is_live = hot[anode] || cold[anode] || hot[cathode] || cold[cathode];
            if is_live && !hot[anode] && !cold[cathode] {
                self.open.insert(id);
            }
        }
    }
}
