//! Short conductors that leave a thicker one, or a large fuse, for smaller fuses: each goes without protection of its own size, as the
//! lead from a battery to its first fuse does.
//!
//! The idea: a boat rule asks for a fuse within 7 in of the source of power "for each circuit or conductor", and where a thin conductor
//! leaves a thick one, that is its source. So the run from there to the fuses may be that long, if it leads to nothing but fuses,
//! what feeds it from their side is behind them, and they let through no more than it may carry.
//!
//! Cost: for each conductor that is asked for, a search of what is within that length of it.

use crate::{
    electrical::fuses::{
        fuse::{kind_of, passes},
        protection::unfused::feeds_at,
    },
    facts::Facts,
    model::{ElementId, PointId, WireId},
    network::{Edge, EdgeId},
    quantity::{Ampere, Metre},
    standards::fuse_choice::{Lead, unfused_length},
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// The longest run that the workshop allows without a fuse.
    #[must_use]
    pub fn longest_unfused(&self) -> Metre {
        self.model().policy.unfused_length.map_or(unfused_length(Lead::Bare).value, |at| at.value)
    }

    /// Whether a wire is a short run to fuses of its own size, from where it leaves a conductor that its fuse protects.
    ///
    /// Asked by [`overfed`](Self::overfed) and `protection/uncleared-fault`.
    #[must_use]
    pub fn is_stub(&self, wire: WireId) -> bool {
        let item = &self.model()[wire];
        let (Some(from), Some(to), Some(length)) = (item.from, item.to, item.length) else { return false };
        let most = self.longest_unfused();
        if length.value > most || self.supplies()[wire].is_none() {
            return false;
        }
        [(from, to), (to, from)].into_iter().any(|(near, far)| {
            let run = Run { facts: self, wire };
            let Some(reached) = run.ends(far, near, most) else { return false };
            let Some(takes) = self.allowance(wire, &[]).map(|allowance| allowance.amps) else { return false };
            let lets = |fuse: &ElementId| Some(passes(self.model(), kind_of(self.model(), *fuse)?)?.rating);
            let fits = reached.fuses.iter().all(|fuse| lets(fuse).is_some_and(|lets| lets <= takes));
            // What chargers behind these fuses give comes back through the run, and adds up.
            let back: Option<Ampere> = reached.backwards.iter().map(lets).sum();
            fits && back.is_some_and(|back| back <= takes)
                && run.start(near, most).is_some_and(|before| before + length.value + reached.farthest <= most)
        })
    }
}

/// Where a run ends.
struct Reached {
    /// The fuses.
    fuses: FxHashSet<ElementId>,
    /// Those of them that sources behind them feed the run through, in the order of the feeds.
    backwards: Vec<ElementId>,
    /// How far the farthest is.
    farthest: Metre,
}

/// The run that a wire is of.
#[derive(Clone, Copy)]
struct Run<'a> {
    facts: &'a Facts,
    wire: WireId,
}

impl Run<'_> {
    /// The edges at a point over which the run goes on, each with the point behind it and its length; `None` for a wire of unknown length.
    fn around(&self, point: PointId) -> impl Iterator<Item = (EdgeId, &Edge, PointId, Option<Metre>)> {
        let (model, wire) = (self.facts.model(), self.wire);
        let around = self.facts.network().around(point);
        let on = around.filter(move |(_, edge, _)| edge.role.passes_faults() && edge.wire() != Some(wire));
        on.map(|(id, edge, other)| {
            let length = edge.wire().map_or(Some(Metre::ZERO), |wire| model[wire].length.map(|at| at.value));
            (id, edge, other, length)
        })
    }

    /// The fuses to which the run leads from `start`; `None` where it leads to anything else, back to `near`, or farther than `most`, and
    /// where something feeds it from there past no fuse.
    fn ends(&self, start: PointId, near: PointId, most: Metre) -> Option<Reached> {
        let (network, protection) = (self.facts.network(), self.facts.electrical().protection());
        let mut far: FxHashMap<PointId, Metre> = FxHashMap::from_iter([(start, Metre::ZERO)]);
        let mut waiting = vec![start];
        let mut fuses: FxHashSet<ElementId> = FxHashSet::default();
        while let Some(point) = waiting.pop() {
            let feeds = feeds_at(network, point);
            if point == near || feeds.is_any() || network.around(point).any(|(_, edge, _)| edge.role.drives()) {
                return None;
            }
            fuses.extend(
                network.around(point).filter(|(_, edge, _)| edge.role.is_fuse()).filter_map(|(_, edge, _)| edge.element()),
            );
            let here = far.get(&point).copied()?;
            for (_, _, other, length) in self.around(point) {
                let there = here + length?;
                if there > most {
                    return None;
                }
                if far.get(&other).is_none_or(|known| there < *known) {
                    far.insert(other, there);
                    waiting.push(other);
                }
            }
        }
        if fuses.is_empty() {
            return None;
        }
        let of_run = protection.feeds().iter().filter(|feed| fuses.contains(&feed.fuse));
        let backwards = of_run.filter(|feed| feed.fed.iter().any(|cluster| protection.holds(*cluster, start)));
        let backwards = backwards.map(|feed| feed.fuse).collect();
        let farthest = far.values().copied().fold(Metre::ZERO, |most, one| if one > most { one } else { most });
        Some(Reached { fuses, backwards, farthest })
    }

    /// How far it is from `start` to the nearest place that is fed by a fuse or by a conductor which its fuses protect; `None` where
    /// that is farther than `most`.
    fn start(&self, start: PointId, most: Metre) -> Option<Metre> {
        let network = self.facts.network();
        let mut far: FxHashMap<PointId, Metre> = FxHashMap::from_iter([(start, Metre::ZERO)]);
        let mut waiting = vec![start];
        let mut nearest: Option<Metre> = None;
        while let Some(point) = waiting.pop() {
            let here = far.get(&point).copied()?;
            let is_fed = network.around(point).any(|(_, edge, _)| edge.role.is_fuse() || edge.role.drives())
                || self.around(point).any(|(_, edge, _, _)| edge.wire().is_some_and(|wire| self.is_protected(wire)));
            if is_fed {
                nearest = Some(nearest.map_or(here, |known| if here < known { here } else { known }));
                continue;
            }
            for (_, _, other, length) in self.around(point) {
                let Some(there) = length.map(|length| here + length).filter(|there| *there <= most) else { continue };
                if far.get(&other).is_none_or(|known| there < *known) {
                    far.insert(other, there);
                    waiting.push(other);
                }
            }
        }
        nearest
    }

    /// Whether what feeds a wire lets through no more than it may carry.
    fn is_protected(&self, wire: WireId) -> bool {
        let Some(supply) = &self.facts.supplies()[wire] else { return false };
        self.facts.allowance(wire, &supply.by).is_some_and(|allowance| supply.amps <= allowance.amps)
    }
}
