//! Single faults: as a list, as comma-separated values, as JSON.

mod csv;
pub(crate) mod json;
mod table;
pub(crate) mod words;

pub use csv::write as csv;
pub use json::write as json;
pub use table::write as table;

use crate::phrase::counted;
use harness_core::{finding::Level, inspect::single_faults::SingleFaults};

/// What is shown of the faults that were tried.
#[derive(Debug, Clone, Copy)]
pub struct Shown<'a> {
    /// The faults.
    pub faults: &'a SingleFaults,
    /// The severity from which a fault is listed.
    pub level: Level,
    /// Whether all that follows is listed of each, and faults from which nothing follows too: they were asked for by name.
    pub in_full: bool,
    /// What the design does not say.
    pub unknown: &'a [String],
}

impl Shown<'_> {
    /// The faults that are listed.
    fn rows(&self) -> impl Iterator<Item = &harness_core::inspect::single_faults::FaultRow> {
        let is_shown = |level: Option<Level>| match level {
            Some(level) => level >= self.level,
            None => self.in_full,
        };
        self.faults.rows.iter().filter(move |row| is_shown(row.level))
    }

    /// How many faults that lead to something are below the severity that is listed.
    fn below(&self) -> usize {
        self.faults.rows.iter().filter(|row| row.level.is_some_and(|level| level < self.level)).count()
    }

    /// What is not listed, if anything is.
    #[must_use]
    pub fn left_out(&self) -> Option<String> {
        let below = self.below();
        let them = counted(below, "fault");
        (below > 0).then(|| format!("not listed: {them} below `{}`; `--level note` lists all", self.level.name()))
    }
}
