//! What the figures rest on: each table or value once, with a number by which the blocks refer to it.

use harness_core::{
    inspect::{Loads, Margin},
    values::{Source, Status},
};
use maud::{Markup, html};
use std::{cell::RefCell, collections::BTreeMap};

/// The sources of the margins of a design; one that only a block refers to is added when it does.
#[derive(Debug)]
pub(super) struct Sources {
    all: RefCell<Vec<(&'static Source, usize)>>,
    /// The first so many were counted with the tables of fuses and conductors.
    counted: usize,
}

impl Sources {
    /// Those of the margins of fuses and conductors, the least sure first, with how many margins rest on each.
    pub(super) fn of(loads: &Loads) -> Self {
        let margins = loads.fuses.iter().flat_map(|row| &row.margins).chain(loads.conductors.iter().flat_map(|row| &row.margins));
        let mut counts: BTreeMap<(u8, &str), (&'static Source, usize)> = BTreeMap::new();
        for source in margins.flat_map(|margin: &Margin| margin.sources.iter().copied()) {
            counts.entry((rank(source.status), source.standard)).or_insert((source, 0)).1 += 1;
        }
        let all: Vec<_> = counts.into_values().collect();
        Self { counted: all.len(), all: RefCell::new(all) }
    }

    /// Each with how many margins rest on it, in the order of its numbers.
    pub(super) fn all(&self) -> Vec<(&'static Source, usize)> {
        self.all.borrow().clone()
    }

    /// Sources by their numbers.
    pub(super) fn references(&self, sources: &[&'static Source]) -> Markup {
        let numbers: Vec<String> = sources.iter().map(|source| self.number(source).to_string()).collect();
        html! { (if numbers.len() == 1 { "Source " } else { "Sources " }) (numbers.join(", ")) }
    }

    /// The number of a source; one that no fuse and no conductor has gets the next.
    fn number(&self, source: &'static Source) -> usize {
        let mut known = self.all.borrow_mut();
        let is_it = |(other, _): &(&Source, usize)| other.standard == source.standard && other.status == source.status;
        let at = known.iter().position(is_it).unwrap_or_else(|| {
            known.push((source, 0));
            known.len() - 1
        });
        if let Some((_, count)) = known.get_mut(at).filter(|_| at >= self.counted) {
            *count += 1;
        }
        at + 1
    }
}

fn rank(status: Status) -> u8 {
    match status {
        Status::Memory => 0,
        Status::Practice => 1,
        Status::Computed => 2,
        Status::SecondHand => 3,
        Status::Seen => 4,
    }
}
