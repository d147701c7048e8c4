//! Pairs of plugs that fit each other's place, put together by the plugs that they share.

use crate::facts::swaps::{Grade, Pair, PlugId, Swaps};
use std::cmp::Reverse;

/// Pairs that hang together: of twenty plugs alike there is one cause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SwapCause {
    /// The most severe pair, of several the first one in the design.
    pub worst: Pair,
    /// How many pairs there are.
    pub pairs: usize,
    /// How many of them are dangerous.
    pub dangerous: usize,
    /// The connectors, in the order of the design.
    pub plugs: Vec<PlugId>,
}

/// Puts pairs together by the connectors that they share, one after the other.
#[derive(Debug, Default)]
pub struct SwapCauses {
    /// The connector that each one is put to, by its place: itself or one before it; `None` for one that is in no pair.
    nearer: Vec<Option<PlugId>>,
    /// What is found of each connector that others are put to.
    causes: Vec<Option<SwapCause>>,
}

impl SwapCauses {
    fn next(&self, id: PlugId) -> PlugId {
        self.nearer.get(id.index()).copied().flatten().unwrap_or(id)
    }

    fn put(&mut self, id: PlugId, to: PlugId) {
        if self.nearer.len() <= id.index() {
            self.nearer.resize(id.index() + 1, None);
            self.causes.resize(id.index() + 1, None);
        }
        if let Some(place) = self.nearer.get_mut(id.index()) {
            *place = Some(to);
        }
    }

    fn root(&mut self, mut id: PlugId) -> PlugId {
        loop {
            let next = self.next(id);
            let over = self.next(next);
            if next == over {
                return next;
            }
            self.put(id, over);
            id = over;
        }
    }

    fn take(&mut self, root: PlugId) -> Option<SwapCause> {
        self.causes.get_mut(root.index())?.take()
    }

    /// One more pair.
    pub fn add(&mut self, pair: Pair) {
        let (one, other) = (self.root(pair.first), self.root(pair.second));
        let (kept, gone) = (one.min(other), one.max(other));
        self.put(gone, kept);
        if kept != gone {
            self.put(kept, kept);
        }
        let mut cause =
            SwapCause { worst: pair, pairs: 1, dangerous: usize::from(pair.grade == Grade::Danger), plugs: Vec::new() };
        let rank = |pair: &Pair| (Reverse((pair.grade, pair.effect)), pair.first, pair.second);
        for known in [self.take(kept), self.take(gone)].into_iter().flatten() {
            cause.worst = if rank(&known.worst) < rank(&cause.worst) { known.worst } else { cause.worst };
            cause.pairs += known.pairs;
            cause.dangerous += known.dangerous;
        }
        if let Some(place) = self.causes.get_mut(kept.index()) {
            *place = Some(cause);
        }
    }

    /// The causes, in the order of their first connectors.
    #[must_use]
    pub fn done(mut self, swaps: &Swaps) -> Vec<SwapCause> {
        for (id, _) in swaps.plugs() {
            if !self.nearer.get(id.index()).is_some_and(Option::is_some) {
                continue;
            }
            let root = self.root(id);
            if let Some(Some(cause)) = self.causes.get_mut(root.index()) {
                cause.plugs.push(id);
            }
        }
        self.causes.into_iter().flatten().collect()
    }
}
