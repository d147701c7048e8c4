//! What people made of findings: those that were accepted, those that were known, and what tells one finding from another.
//!
//! Owns fingerprints, the applying of waivers and the text of a baseline, all as pure functions over findings. Leaves files,
//! the clock and the question what fails a check to the program.

pub mod baseline;
mod fingerprint;
mod names;
mod waivers;

pub use fingerprint::fingerprint;
pub use waivers::{Scope, apply};

/// Whether findings of `rule` can be accepted or known at all. What can't be read hides what it would have said, and a waiver
/// that does not hold is no matter of taste.
#[must_use]
pub fn acceptable(rule: &str) -> bool {
    !rule.starts_with("format/") && rule != crate::rules::STALE_WAIVER.name
}
