//! Findings: as a rule states them, and as a run judged them.
//!
//! Owns both, their levels and order, and the page on which a rule is described. Leaves the judging to `review`, which reads the
//! design's policy and waivers. Findings stay structured until a report is written; how they look is the program's business.

mod judged;
mod level;
mod page;
mod stated;

pub use judged::{Judged, Waived};
pub use level::Level;
pub use page::RulePage;
pub use stated::{Figure, Finding, Label};
