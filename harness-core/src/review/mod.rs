//! What a run and people make of findings: the level that the policy gives them, those that were accepted, those that were
//! known, and what distinguishes one from another.
//!
//! Owns levels by policy, fingerprints, the applying of waivers and the text of a baseline, all as pure functions over findings.
//! Reads the policy and the waivers from the model, which is why it is a layer above it and not in `finding`. Leaves files, the
//! clock and the question what fails a check to the program.

pub mod baseline;
mod fingerprint;
mod groups;
mod names;
mod policy;
mod waivers;

pub use fingerprint::fingerprint;
pub use waivers::Scope;

use crate::{
    finding::{Finding, Judged},
    format::Findings,
    model::Model,
    text::Sources,
};

/// Judges the findings of a run: raises levels as the policy says, applies the waivers, adds what is at fault with either,
/// and puts all in their order, each with its fingerprint. What is found twice is there once, and of one rule only
/// so many findings are kept. `sources` are the files in which the waivers are written.
///
/// Cost: a sort of the findings; waivers and findings are looked up, not compared one by one.
#[must_use]
pub fn judge(model: &Model, sources: &Sources, scope: Scope, findings: Vec<Finding>) -> Vec<Judged> {
    let mut kept = Findings::new();
    kept.extend(findings);
    let mut judged: Vec<Judged> = kept.into_vec().into_iter().map(Judged::from).collect();
    let mistakes = policy::raise(model, &mut judged);
    judged.extend(mistakes.into_iter().map(Judged::from));
    let stale = waivers::apply(model, sources, scope, &mut judged);
    let mut stale: Vec<Judged> = stale.into_iter().map(Judged::from).collect();
    // What is at fault with the policy was said above.
    let _ = policy::raise(model, &mut stale);
    judged.extend(stale);
    judged.sort_by(Judged::order);
    judged.dedup();
    fingerprint(&mut judged);
    judged
}

/// Whether findings of `rule` can be accepted or known at all. What can't be read hides what it would have said, and a waiver
/// that does not hold is not a matter of taste.
#[must_use]
pub fn acceptable(rule: &str) -> bool {
    !rule.starts_with("format/") && rule != crate::rules::STALE_WAIVER.name
}
