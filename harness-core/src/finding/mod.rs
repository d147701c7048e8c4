//! Findings: as a rule states them, and as a run judged them.
//!
//! Owns both, their levels and order, the remedies that a rule proposes, by how much a finding has grown since it was reviewed, and
//! the page on which a rule is described. Leaves the judging to `review`, which reads the design's policy and waivers, and the trying
//! of remedies to `check`. Findings stay structured until a report is written; how they look is the program's business.

mod growth;
mod judged;
mod level;
mod page;
mod remedy;
mod stated;

pub(crate) use growth::figures_grown;
pub use growth::{Worse, covers, growth, review_text, unweighed};
pub use judged::{Judged, Waived};
pub use level::Level;
pub use page::RulePage;
pub use remedy::{Edit, Offer, Remedy, RemedyKind};
pub use stated::{Figure, Finding, Label, Weighed};
