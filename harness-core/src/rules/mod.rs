//! The rules: pure functions over an analysed design, one file each, and the table that lists them.
//!
//! A rule states facts. It holds no state, calls no other rule, never parses text, and does not know at which level it
//! runs: the runner in `check` applies the workshop's levels.

mod battery;
mod conductor;
mod contact;
mod domain;
mod mating;
mod netlist;
mod protection;
mod review;

pub use crate::finding::RulePage;
use crate::{analysis::Analysis, finding::Finding, format::rules::FAULTS};
pub(crate) use review::STALE_WAIVER;

/// A rule that checks a design: its record and its function.
#[derive(Debug)]
pub struct Check {
    /// The record.
    pub rule: RulePage,
    /// The function.
    pub run: fn(&Analysis) -> Vec<Finding>,
}

impl Check {
    /// A finding of this rule at `span`.
    #[must_use]
    pub fn finding(&self, span: crate::text::Span, headline: impl Into<String>) -> Finding {
        self.rule.finding(span, headline)
    }
}

/// The rules of each group, the groups sorted by name.
static GROUPS: [&[&Check]; 8] = [
    battery::CHECKS,
    conductor::CHECKS,
    contact::CHECKS,
    domain::CHECKS,
    mating::CHECKS,
    netlist::CHECKS,
    protection::CHECKS,
    review::CHECKS,
];

/// Every rule that checks a design, sorted by name.
pub fn checks() -> impl Iterator<Item = &'static Check> {
    GROUPS.iter().copied().flatten().copied()
}

/// Every rule, sorted by name: those of reading, those of checking, and the one about waivers, which looks at what the
/// others found.
#[must_use]
pub fn all() -> Vec<&'static RulePage> {
    let mut rules: Vec<&RulePage> = FAULTS.iter().copied().chain(checks().map(|check| &check.rule)).collect();
    rules.push(&STALE_WAIVER);
    rules.sort_by_key(|rule| rule.name);
    rules
}
