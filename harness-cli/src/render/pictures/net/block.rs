//! Where a net is cut: at the splice that halves it, while a block has more than twelve ends, and where a row is full.

use harness_core::views::{
    Letter, Net,
    net::{NetStop, Run},
};
use std::collections::{BTreeMap, VecDeque};

/// A block has up to so many ends.
const ENDS: usize = 12;
/// Fewer ends than this are not worth a block of their own.
const WORTH: usize = 3;

/// A cut before a stop of a run, and its letter.
pub(super) type Cut<'n> = (&'n Run, usize, Letter);

/// Cuts a net, and hands out letters.
pub(super) struct Cutter<'n> {
    next: u32,
    /// The letters of cuts, by the place of a run in memory and the stop before which it is cut: looked up alone, so that no order depends on it.
    cuts: BTreeMap<(usize, usize), Letter>,
    waiting: VecDeque<Cut<'n>>,
}

fn place(run: &Run, from: usize) -> (usize, usize) {
    (std::ptr::from_ref(run).addr(), from)
}

impl<'n> Cutter<'n> {
    /// With the cuts of the first block of a net.
    pub(super) fn new(net: &'n Net) -> Self {
        let mut cutter = Self { next: net.letters, cuts: BTreeMap::new(), waiting: VecDeque::new() };
        cutter.halve(&net.run, 0);
        cutter
    }

    /// The block that begins at the next cut, in the order in which their letters are met.
    pub(super) fn next_block(&mut self) -> Option<Cut<'n>> {
        let (run, from, letter) = self.waiting.pop_front()?;
        self.halve(run, from);
        Some((run, from, letter))
    }

    /// The letter of the cut before a stop of a run, where there is one.
    pub(super) fn cut_at(&mut self, run: &'n Run, from: usize) -> Option<Letter> {
        let letter = self.cuts.get(&place(run, from)).copied()?;
        self.waiting.push_back((run, from, letter));
        Some(letter)
    }

    /// Whether there is a cut before a stop of a run.
    pub(super) fn is_cut(&self, run: &'n Run, from: usize) -> bool {
        self.cuts.contains_key(&place(run, from))
    }

    /// Cuts before a stop of a run, whose row is full.
    pub(super) fn cut(&mut self, run: &'n Run, from: usize) -> Letter {
        let letter = self.letter(run, from);
        self.waiting.push_back((run, from, letter));
        letter
    }

    /// The next letter, for a cut before a stop of a run.
    fn letter(&mut self, run: &'n Run, from: usize) -> Letter {
        let letter = Letter(self.next);
        self.next += 1;
        self.cuts.insert(place(run, from), letter);
        letter
    }

    /// Cuts what begins before a stop of a run until no block of it has too many ends, as far as there is a place to cut.
    fn halve(&mut self, run: &'n Run, from: usize) {
        loop {
            let mut places = Vec::new();
            let all = self.count(run, from, &mut places);
            if all <= ENDS {
                return;
            }
            let is_worth = |count: usize| count >= WORTH && count + WORTH <= all + 1;
            let places =
                places.into_iter().filter(|(of, at, count)| is_worth(*count) && !(std::ptr::eq(*of, run) && *at == from));
            let Some((of, at, _)) = places.min_by_key(|(_, _, count)| (2 * count).abs_diff(all)) else { return };
            self.letter(of, at);
        }
    }

    /// How many ends there are from a stop of a run on, up to cuts, and where it could be cut: before each stop, with the ends behind it.
    fn count(&self, run: &'n Run, from: usize, places: &mut Vec<(&'n Run, usize, usize)>) -> usize {
        let mut ends = if from == 0 { run.begin.len().saturating_sub(1) } else { 0 };
        ends += if from == 0 { run.branches.iter().map(|branch| self.count_branch(branch, places)).sum::<usize>() } else { 0 };
        // The ends before each stop, from the left.
        let mut before: Vec<(usize, usize)> = Vec::new();
        for (at, NetStop { branches, .. }) in run.stops.iter().enumerate().skip(from) {
            if at > from && self.is_cut(run, at) {
                let all = ends + 1;
                places.extend(before.into_iter().map(|(at, before)| (run, at, all - before)));
                return all;
            }
            before.push((at, ends));
            ends += branches.iter().map(|branch| self.count_branch(branch, places)).sum::<usize>();
        }
        let all = ends + run.ends.len().max(1);
        places.extend(before.into_iter().map(|(at, before)| (run, at, all - before)));
        all
    }

    fn count_branch(&self, branch: &'n Run, places: &mut Vec<(&'n Run, usize, usize)>) -> usize {
        if self.is_cut(branch, 0) { 1 } else { self.count(branch, 0, places) }
    }
}
