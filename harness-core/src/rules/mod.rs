//! The rules: pure functions over an analysed design, one file each, and the table that lists them.
//!
//! A rule states facts. It holds no state, calls no other rule, never parses text, and does not know at which level it
//! runs: the runner in `check` applies the workshop's levels.

mod battery;
mod bus;
mod charging;
mod conductor;
mod contact;
mod domain;
mod interlock;
mod mating;
mod netlist;
mod protection;
mod review;
mod route;
mod screen;

pub use crate::finding::RulePage;
use crate::{
    analysis::Analysis,
    finding::{Finding, Weighed},
    format::rules::FAULTS,
    text::Span,
};
pub(crate) use review::{STALE_WAIVER, UNBOUND_WAIVER};

/// A rule that checks a design: its page and its function.
#[derive(Debug)]
pub struct Rule {
    /// The page: name, level, documentation.
    pub page: RulePage,
    /// Every finding of the rule in a design.
    pub check: fn(&Analysis) -> Vec<Finding>,
}

impl Rule {
    /// A finding of this rule at `span`, with the figures of its headline: each says in which direction it is worse.
    ///
    /// A count of things, such as `2 loads more`, needs no direction of its own: more of them are worse.
    #[must_use]
    pub fn finding(&self, span: Span, headline: impl Into<String>, figures: impl IntoIterator<Item = Weighed>) -> Finding {
        self.page.weighed(span, headline, figures)
    }
}

/// The rules of each group, the groups sorted by name.
static GROUPS: [&[&Rule]; 13] = [
    battery::RULES,
    bus::RULES,
    charging::RULES,
    conductor::RULES,
    contact::RULES,
    domain::RULES,
    interlock::RULES,
    mating::RULES,
    netlist::RULES,
    protection::RULES,
    review::RULES,
    route::RULES,
    screen::RULES,
];

/// Every rule that checks a design, sorted by name.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    GROUPS.iter().copied().flatten().copied()
}

/// The page of every rule, sorted by name: those of reading, those of checking, and the two about waivers, which look at what the
/// others found.
#[must_use]
pub fn pages() -> Vec<&'static RulePage> {
    let mut pages: Vec<&RulePage> = FAULTS.iter().copied().chain(all().map(|rule| &rule.page)).collect();
    pages.extend([&STALE_WAIVER, &UNBOUND_WAIVER]);
    pages.sort_by_key(|page| page.name);
    pages
}
