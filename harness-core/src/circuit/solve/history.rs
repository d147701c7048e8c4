//! Which behaviours a search has been through, so that it sees that it goes round in circles.

use super::{states::Behaviour, table::Table};
use rustc_hash::FxHasher;
use std::hash::{Hash, Hasher};

/// Flips at the end of a search in vain whose branches are named.
const LAST_FLIPS: u32 = 20;

/// Which behaviours were seen, to recognise a state that never settles.
pub(super) struct History {
    seen: Vec<(u64, u32)>,
    /// Per branch: the flip, counted from one, at which it last turned.
    last: Table<u32>,
    pub(super) flips: u32,
    /// Times that relays or converters moved.
    pub(super) switches: u32,
    /// The flip from which on everything has come round again.
    since: u32,
    dice: u64,
}

impl History {
    pub(super) fn new(count: usize) -> Self {
        Self { seen: Vec::new(), last: Table::new(count), flips: 0, switches: 0, since: u32::MAX, dice: 1 }
    }

    /// Notes that `numbers` want to turn over in this state; `true` if the same was seen twice before.
    pub(super) fn repeats(&mut self, behaviours: &[Behaviour], numbers: impl Iterator<Item = u32>) -> bool {
        let mut hasher = FxHasher::default();
        for behaviour in behaviours {
            (*behaviour as u8).hash(&mut hasher);
        }
        for number in numbers {
            number.hash(&mut hasher);
        }
        let print = hasher.finish();
        let before = self.seen.iter().filter(|entry| entry.0 == print);
        let (count, first) = before.fold((0, u32::MAX), |(count, first), entry| (count + 1, first.min(entry.1)));
        self.since = first;
        self.seen.push((print, self.flips + 1));
        count >= 2
    }

    /// Notes that `numbers` are turned over.
    pub(super) fn turn(&mut self, numbers: &[u32]) {
        self.flips += 1;
        for &number in numbers {
            self.last.set(number, self.flips);
        }
    }

    /// Keeps about half of what wants to turn over, and at least one, differently each time.
    pub(super) fn thin(&mut self, wanted: &mut Vec<(u32, Behaviour)>) {
        let first = wanted.first().copied();
        wanted.retain(|_| {
            // A congruential generator with Knuth's multiplier; its upper bits are the even ones. The same circuit gives the same run.
            self.dice = self.dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            self.dice >> 63 == 1
        });
        if wanted.is_empty() {
            wanted.extend(first);
        }
    }

    /// The branches that kept turning, and those that want to turn now.
    pub(super) fn unsettled(&self, wanted: &[u32]) -> Vec<u32> {
        let since = if self.since < u32::MAX { self.since } else { self.flips.saturating_sub(LAST_FLIPS) + 1 };
        let mut unsettled = wanted.to_vec();
        unsettled.extend((0..).zip(self.last.list()).filter(|(_, last)| **last >= since).map(|(number, _)| number));
        unsettled.sort_unstable();
        unsettled.dedup();
        unsettled
    }
}
