//! What follows from a plug that is wrong as a whole, or from a source that is reversed: whatever is gone once that is put right.
//!
//! The first remedy of each such finding is made in memory and the design checked again, so what follows is known and not guessed: a finding
//! follows if the check no longer has it, and has nothing new of the same rule about the same things, which would be the same fault under another
//! name. One trial for each such finding, at most [`MOST`]; a design without one makes none.

use super::{Checker, trial::Trial};
use crate::{
    analysis::Analysis,
    causes::{hides, is_reading, is_root},
    finding::{Edit, Judged, Level, Offer},
    text::Sources,
};
use std::collections::BTreeSet;

/// Findings whose consequences are looked for in one run.
const MOST: usize = 8;
/// The same where a check takes long.
const FEW: usize = 2;
/// Conductors from which a check takes long.
const MANY_CONDUCTORS: usize = 5_000;

/// Rules whose findings come before others of which each may follow from the other.
const FIRST: [&str; 2] = ["mating/wrong-port", "netlist/misnumbered-plug"];

/// What follows from what.
#[derive(Debug, Default)]
pub(super) struct Roots {
    /// Findings, each with the one that it follows from.
    pub(super) follow: Vec<(usize, usize)>,
    /// Findings with the step that was tried: with it they are gone, and no other has come.
    pub(super) offers: Vec<(usize, Offer)>,
}

/// Tries the first remedy of each finding that others may follow from. While there is a mistake of reading, none is tried: a trial would judge
/// half a design.
pub(super) fn roots(checker: &Checker, analysis: &Analysis, findings: &[Judged]) -> Roots {
    let mut found = Roots::default();
    let mut roots: Vec<(usize, &Judged)> =
        findings.iter().enumerate().filter(|(_, finding)| is_root(finding) && !finding.remedies.is_empty()).collect();
    if roots.is_empty() || findings.iter().any(hides) {
        return found;
    }
    roots.sort_by_key(|(_, root)| FIRST.iter().position(|rule| *rule == root.rule).unwrap_or(FIRST.len()));
    let is_large = analysis.model().wires().len() >= MANY_CONDUCTORS;
    let trial = Trial::new(checker, analysis, findings);
    let mut left = if is_large { FEW } else { MOST };
    for (at, root) in roots {
        if left == 0 || found.follow.iter().any(|(follower, _)| *follower == at) {
            continue;
        }
        left -= 1;
        let Some(remedy) = root.remedies.first() else { continue };
        let Some(outcome) = trial.outcome(&remedy.edits).filter(|outcome| trial.lacks(outcome, root)) else { continue };
        let renames = renames(analysis.design().sources(), &remedy.edits);
        let new: Vec<(&str, BTreeSet<String>)> =
            trial.unknown(&outcome).map(|finding| (finding.rule, before(&renames, &finding.concerns))).collect();
        let is_renamed = |finding: &Judged| {
            new.iter().any(|(rule, names)| *rule == finding.rule && finding.concerns.iter().any(|name| names.contains(name)))
        };
        let is_free = |found: &Roots, other: usize| {
            other != at && !found.follow.iter().any(|(follower, root)| *follower == other || *root == other)
        };
        for (other, finding) in findings.iter().enumerate() {
            if is_free(&found, other) && !is_reading(finding) && trial.lacks(&outcome, finding) && !is_renamed(finding) {
                found.follow.push((other, at));
            }
        }
        if outcome.new.is_empty() {
            let shares = |other: &&Judged| {
                other.level >= Level::Warning
                    && other.waived.is_none()
                    && other.concerns.iter().any(|name| root.concerns.contains(name))
            };
            let others = outcome.report.findings.iter().filter(shares).count();
            found.offers.push((at, Offer { remedy: remedy.clone(), tried: true, others }));
        }
    }
    found
}

/// What edits call a place now, with what it was called: a wire that went from one cavity to another takes its faults along.
fn renames(sources: &Sources, edits: &[Edit]) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> =
        edits.iter().map(|edit| (edit.text.clone(), sources.slice(edit.span).to_owned())).filter(|(_, old)| old.contains('.')).collect();
    all.sort();
    all.dedup();
    all
}

/// Names with the places among them as they were called before.
fn before(renames: &[(String, String)], names: &[String]) -> BTreeSet<String> {
    let old = |name: &String| {
        renames.iter().find_map(|(new, old)| {
            let head = name.strip_suffix(new.as_str())?;
            (head.is_empty() || head.ends_with('.')).then(|| format!("{head}{old}"))
        })
    };
    names.iter().map(|name| old(name).unwrap_or_else(|| name.clone())).collect()
}
