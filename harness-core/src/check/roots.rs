//! What follows from a slip of wiring: whatever is gone once that is put right.
//!
//! A slip of wiring is a finding whose first remedy moves wires, plugs or rings. That remedy is made in memory and the design checked again, so what
//! follows is known and not guessed: a finding follows if the check no longer has it, and has nothing new of the same rule about the same things,
//! which would be the same fault under another name. At most [`MOST`] are tried; a design without such a finding makes no trial.
//!
//! Of slips that remove each other the one whose remedy leaves nothing new and removes most is the cause. A finding follows from one slip alone.

use super::{Checker, trial::Trial};
use crate::{
    analysis::Analysis,
    causes::{comes_first, hides, is_reading},
    finding::{Edit, Judged, Level, Offer, Remedy, RemedyKind},
    text::Sources,
    threads,
};
use std::{
    cmp::Reverse,
    collections::BTreeSet,
    num::NonZero,
    sync::atomic::{AtomicUsize, Ordering},
};

/// Slips that are tried in one run.
const MOST: usize = 8;
/// The same where a check takes long.
const FEW: usize = 2;
/// Remedies of one slip that are tried.
const MOST_REMEDIES: usize = 6;
/// Conductors from which a check takes long.
const MANY_CONDUCTORS: usize = 5_000;

/// What follows from what.
#[derive(Debug, Default)]
pub(super) struct Roots {
    /// Findings, each with the one that it follows from.
    pub(super) follow: Vec<(usize, usize)>,
    /// Findings with the step that was tried: with it they are gone, and no other has come.
    pub(super) offers: Vec<(usize, Offer)>,
}

/// A slip whose remedy was tried and removes it.
struct Tried {
    at: usize,
    /// The others that are gone.
    gone: Vec<usize>,
    /// What the remedy came to, if it leaves nothing that was not there.
    offer: Option<Offer>,
}

/// Tries the first remedy of each slip of wiring. While there is a mistake of reading, none is tried: a trial would judge half a design.
pub(super) fn roots(checker: &Checker, analysis: &Analysis, findings: &[Judged]) -> Roots {
    let mut slips: Vec<usize> = findings.iter().enumerate().filter(|(_, finding)| is_slip(finding)).map(|(at, _)| at).collect();
    if slips.is_empty() || findings.len() < 2 || findings.iter().any(hides) {
        return Roots::default();
    }
    let of = |at: usize| findings.get(at);
    slips.sort_by_key(|at| of(*at).map(|slip| (!comes_first(slip), Reverse(slip.level))));
    let mut known: BTreeSet<&[Edit]> = BTreeSet::new();
    slips.retain(|at| of(*at).and_then(|slip| slip.remedies.first()).is_some_and(|remedy| known.insert(&remedy.edits)));
    let is_large = analysis.model().wires().len() >= MANY_CONDUCTORS;
    let most = if is_large { FEW } else { MOST };
    let trial = Trial::new(checker, analysis, findings);
    // What is gone with one of those that come first is not a slip of its own.
    let (first, mut others): (Vec<usize>, Vec<usize>) = slips.into_iter().partition(|at| of(*at).is_some_and(comes_first));
    let mut tried = Vec::new();
    for at in first {
        let is_gone = tried.iter().any(|one: &Tried| one.gone.contains(&at));
        if !is_gone && tried.len() < most {
            tried.extend(outcome(&trial, analysis, findings, at));
        }
    }
    others.retain(|at| !tried.iter().any(|one| one.offer.is_some() && one.gone.contains(at)));
    others.truncate(most.saturating_sub(tried.len()));
    tried.extend(side_by_side(checker.threads, &others, |at| outcome(&trial, analysis, findings, at)).into_iter().flatten());
    chosen(tried, |at| of(at).is_some_and(comes_first))
}

/// Whether the first remedy of a finding moves what is joined.
fn is_slip(finding: &Judged) -> bool {
    let moves = |kind: RemedyKind| matches!(kind, RemedyKind::Swap | RemedyKind::Move | RemedyKind::Mating);
    finding.waived.is_none() && !is_reading(finding) && finding.remedies.first().is_some_and(|remedy| moves(remedy.kind))
}

/// The causes among the slips: the one that leaves nothing new before others, then that which removes most.
fn chosen(mut tried: Vec<Tried>, comes_first: impl Fn(usize) -> bool) -> Roots {
    tried.sort_by_key(|one| (one.offer.is_none(), Reverse(one.gone.len()), !comes_first(one.at), one.at));
    let mut found = Roots::default();
    let mut followers: BTreeSet<usize> = BTreeSet::new();
    let mut causes: BTreeSet<usize> = BTreeSet::new();
    for one in tried {
        if followers.contains(&one.at) {
            continue;
        }
        causes.insert(one.at);
        for gone in one.gone {
            if !causes.contains(&gone) && followers.insert(gone) {
                found.follow.push((gone, one.at));
            }
        }
        found.offers.extend(one.offer.map(|offer| (one.at, offer)));
    }
    found
}

/// What is gone with a finding: with its first remedy, or with the one that removes most where it comes first and nothing says which is meant.
fn outcome(trial: &Trial<'_>, analysis: &Analysis, findings: &[Judged], at: usize) -> Option<Tried> {
    let root = findings.get(at)?;
    if root.remedies.first()?.is_guess {
        return guessed(trial, analysis, findings, at);
    }
    let most = if comes_first(root) { MOST_REMEDIES } else { 1 };
    let mut best: Option<Tried> = None;
    for remedy in root.remedies.iter().take(most) {
        let Some(next) = with(trial, analysis, findings, at, remedy) else { continue };
        let worth = |one: &Tried| (one.offer.is_some(), one.gone.len());
        let is_enough = next.offer.is_some();
        if best.as_ref().is_none_or(|best| worth(&next) > worth(best)) {
            best = Some(next);
        }
        // What leaves nothing new is what was meant.
        if is_enough {
            break;
        }
    }
    best
}

/// What is gone with the guess that puts right most. A guess that removes nothing but its own finding, or that leaves something new, proves nothing.
fn guessed(trial: &Trial<'_>, analysis: &Analysis, findings: &[Judged], at: usize) -> Option<Tried> {
    let is_large = analysis.model().wires().len() >= MANY_CONDUCTORS;
    let guesses = findings.get(at)?.remedies.iter().filter(|remedy| remedy.is_guess);
    let tried =
        guesses.take(if is_large { 1 } else { MOST_REMEDIES }).filter_map(|guess| with(trial, analysis, findings, at, guess));
    let proved = tried.filter(|one| one.offer.is_some() && !one.gone.is_empty());
    proved.reduce(|most, one| if one.gone.len() > most.gone.len() { one } else { most })
}

/// What is gone with a remedy of a finding; `None` where it leaves the finding itself.
fn with(trial: &Trial<'_>, analysis: &Analysis, findings: &[Judged], at: usize, remedy: &Remedy) -> Option<Tried> {
    let root = findings.get(at)?;
    let outcome = trial.outcome(&remedy.edits).filter(|outcome| trial.lacks(outcome, root))?;
    let renames = renames(analysis.design().sources(), &remedy.edits);
    let new: Vec<(&str, BTreeSet<String>)> =
        trial.unknown(&outcome).map(|finding| (finding.rule, before(&renames, &finding.concerns))).collect();
    let is_renamed = |finding: &Judged| {
        new.iter().any(|(rule, names)| *rule == finding.rule && finding.concerns.iter().any(|name| names.contains(name)))
    };
    let gone = findings.iter().enumerate().filter(|(other, finding)| {
        *other != at && !is_reading(finding) && trial.lacks(&outcome, finding) && !is_renamed(finding)
    });
    let gone = gone.map(|(other, _)| other).collect();
    let shares = |other: &&Judged| {
        other.level >= Level::Warning && other.waived.is_none() && other.concerns.iter().any(|name| root.concerns.contains(name))
    };
    let offer = outcome.new.is_empty().then(|| Offer {
        remedy: remedy.clone(),
        tried: true,
        others: outcome.report.findings.iter().filter(shares).count(),
    });
    Some(Tried { at, gone, offer })
}

/// What `make` makes of each, in their order.
fn side_by_side<T: Send>(threads: Option<NonZero<usize>>, items: &[usize], make: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut made = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return made };
            made.push((at, make(*item)));
        }
    };
    let mut made = threads::many(threads, work);
    made.sort_by_key(|(at, _)| *at);
    made.into_iter().map(|(_, made)| made).collect()
}

/// What edits call a place now, with what it was called: a wire that went from one cavity to another takes its faults along.
fn renames(sources: &Sources, edits: &[Edit]) -> Vec<(String, String)> {
    let pairs = edits.iter().map(|edit| (edit.text.clone(), sources.slice(edit.span).to_owned()));
    let mut all: Vec<(String, String)> = pairs.filter(|(_, old)| old.contains('.')).collect();
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
