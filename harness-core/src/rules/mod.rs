//! The rules: pure functions over an analysed design, one file each, and the table that lists them.
//!
//! A rule states facts. It holds no state, calls no other rule, never parses text, and does not know at which level it
//! runs: the runner in `check` applies the workshop's levels.

mod netlist;

pub use crate::rule::Rule;
use crate::{analysis::Analysis, document::faults::FAULTS, finding::Finding};

/// A rule that checks a design: its record and its function.
#[derive(Debug)]
pub struct Check {
    /// The record.
    pub rule: Rule,
    /// The function.
    pub run: fn(&Analysis<'_>) -> Vec<Finding>,
}

impl Check {
    /// A finding of this rule at `span`.
    #[must_use]
    pub fn finding(&self, span: crate::text::Span, headline: impl Into<String>) -> Finding {
        self.rule.finding(span, headline)
    }
}

/// Every rule that checks a design, sorted by name.
pub static CHECKS: &[&Check] = &[&netlist::unconnected_pin::RULE];

/// Every rule, sorted by name: those of reading and those of checking.
#[must_use]
pub fn all() -> Vec<&'static Rule> {
    let mut rules: Vec<&Rule> = FAULTS.iter().copied().chain(CHECKS.iter().map(|check| &check.rule)).collect();
    rules.sort_by_key(|rule| rule.name);
    rules
}
