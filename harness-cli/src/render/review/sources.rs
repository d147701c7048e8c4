//! What the figures rest on: each table or value once, with a number by which the blocks refer to it.

use harness_core::{
    inspect::{Loads, Margin},
    values::{Source, Status},
};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// The sources of the margins of a design.
#[derive(Debug)]
pub(super) struct Sources<'a>(Vec<(&'a Source, usize)>);

impl<'a> Sources<'a> {
    /// Those of all margins, the least sure first, with how many margins rest on each.
    pub(super) fn of(loads: &'a Loads) -> Self {
        let margins = loads.fuses.iter().flat_map(|row| &row.margins).chain(loads.conductors.iter().flat_map(|row| &row.margins));
        let mut counts: BTreeMap<(u8, &str), (&Source, usize)> = BTreeMap::new();
        for source in margins.flat_map(|margin: &Margin| &margin.sources) {
            counts.entry((rank(source.status), source.standard)).or_insert((source, 0)).1 += 1;
        }
        Self(counts.into_values().collect())
    }

    /// Each with how many margins rest on it, in the order of its numbers.
    pub(super) fn all(&self) -> &[(&'a Source, usize)] {
        &self.0
    }

    /// Sources by their numbers; one that no margin has in words.
    pub(super) fn references(&self, sources: &[&Source]) -> Markup {
        let number = |source: &&Source| {
            let at = self.0.iter().position(|(known, _)| known.standard == source.standard && known.status == source.status);
            at.map_or_else(|| source.to_string(), |at| (at + 1).to_string())
        };
        let numbers: Vec<String> = sources.iter().map(number).collect();
        html! { "Rests on " a href="#sources" { "sources" } " " (numbers.join(", ")) }
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
