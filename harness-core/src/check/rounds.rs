//! One round of trials: the next remedy of each finding, as many as possible in one check.
//!
//! Remedies go together if they change different places and their findings concern different things. One check with all of them made
//! proves every one whose finding is gone, if nothing new came. What is new points by its names to those that may have brought it: one
//! alone has failed, several are tried apart, the rest again without them. Whatever new names nobody halves the batch.

use super::{
    overlay::touch,
    trial::{Outcome, Trial, names, quoted},
};
use crate::{
    finding::{Edit, Judged, Level, Offer},
    threads,
};
use std::{
    collections::{BTreeMap, BTreeSet},
    num::NonZero,
    sync::atomic::{AtomicUsize, Ordering},
};

/// More findings than this of one thing say nothing of each other: a battery, a bus bar.
const HUB: usize = 4;

/// A finding whose remedies are being tried.
pub(super) struct Open {
    /// Its number in the report.
    pub(super) number: usize,
    /// Which of its remedies comes next.
    pub(super) next: usize,
    /// The best that it found so far.
    pub(super) best: Option<Offer>,
}

/// What came of a remedy of one finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Verdict {
    /// The finding is gone and no other came; so many about the same things are left.
    Holds(usize),
    /// It leaves its finding, or brings another.
    Fails,
    /// The limit of checks was reached before.
    Untried,
}

/// A change of the text, with those who propose it.
struct Step {
    edits: Vec<Edit>,
    /// Places in the list of open findings.
    openings: Vec<usize>,
    /// What they concern.
    concerns: BTreeSet<String>,
    /// The names of what it changes, as its words give them.
    changes: BTreeSet<String>,
    /// All names that they mention.
    names: BTreeSet<String>,
}

/// The verdict on the next remedy of each open finding. `left` counts the checks that may still be made.
pub(super) fn round(
    trial: &Trial<'_>,
    threads: Option<NonZero<usize>>,
    findings: &[Judged],
    open: &[Open],
    left: &mut usize,
) -> Vec<Verdict> {
    let steps = steps(findings, open);
    let mut verdicts = vec![Verdict::Untried; open.len()];
    let mut queue = batches(&steps);
    while *left > 0 && !queue.is_empty() {
        let rest = queue.split_off((*left).min(queue.len()));
        *left -= queue.len();
        let mut next = Vec::new();
        for (batch, outcome) in queue.iter().zip(outcomes(trial, threads, &steps, &queue)) {
            let settled = settle(&steps, batch, outcome.as_ref());
            for (at, holds) in settled.decided {
                let Some(step) = steps.get(at) else { continue };
                for number in &step.openings {
                    let finding = open.get(*number).and_then(|open| findings.get(open.number));
                    let (Some(finding), Some(verdict)) = (finding, verdicts.get_mut(*number)) else { continue };
                    let gone = outcome.as_ref().filter(|outcome| holds && trial.lacks(outcome, finding));
                    *verdict = match gone {
                        Some(outcome) => Verdict::Holds(others(findings, finding, outcome, batch, &steps, open)),
                        None => Verdict::Fails,
                    };
                }
            }
            next.extend(settled.again);
        }
        next.extend(rest);
        // Those that decide most come first.
        next.sort_by_key(|batch| std::cmp::Reverse(batch.len()));
        queue = next;
    }
    verdicts
}

/// The next remedies, each change once, in the order of the open findings.
fn steps(findings: &[Judged], open: &[Open]) -> Vec<Step> {
    let mut known: BTreeMap<Vec<Edit>, usize> = BTreeMap::new();
    let mut steps: Vec<Step> = Vec::new();
    for (number, one) in open.iter().enumerate() {
        let Some(finding) = findings.get(one.number) else { continue };
        let Some(remedy) = finding.remedies.get(one.next) else { continue };
        let mut edits = remedy.edits.clone();
        edits.sort_unstable();
        let at = *known.entry(edits.clone()).or_insert(steps.len());
        if at == steps.len() {
            let changes: BTreeSet<String> = quoted(&remedy.words).collect();
            steps.push(Step { edits, openings: Vec::new(), concerns: BTreeSet::new(), names: changes.clone(), changes });
        }
        if let Some(step) = steps.get_mut(at) {
            step.openings.push(number);
            step.concerns.extend(finding.concerns.iter().cloned());
            step.names.extend(names(finding));
        }
    }
    steps
}

/// Steps that go together, each batch in the order of the steps.
fn batches(steps: &[Step]) -> Vec<Vec<usize>> {
    let mut counts: BTreeMap<&String, usize> = BTreeMap::new();
    steps.iter().flat_map(|step| &step.concerns).for_each(|name| *counts.entry(name).or_default() += 1);
    let is_hub = |name: &String| counts.get(name).is_some_and(|count| *count > HUB);
    let mut batches: Vec<(Vec<usize>, BTreeSet<&String>, Vec<&Edit>)> = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let own: BTreeSet<&String> = step.concerns.iter().filter(|name| !is_hub(name)).collect();
        let fits = |(_, names, edits): &&mut (Vec<usize>, BTreeSet<&String>, Vec<&Edit>)| {
            names.is_disjoint(&own) && step.edits.iter().all(|edit| edits.iter().all(|other| !touch(edit, other)))
        };
        match batches.iter_mut().find(fits) {
            Some((batch, names, edits)) => {
                batch.push(at);
                names.extend(own);
                edits.extend(&step.edits);
            }
            None => batches.push((vec![at], own, step.edits.iter().collect())),
        }
    }
    batches.into_iter().map(|(batch, ..)| batch).collect()
}

/// What came of each batch, side by side.
fn outcomes(trial: &Trial<'_>, threads: Option<NonZero<usize>>, steps: &[Step], queue: &[Vec<usize>]) -> Vec<Option<Outcome>> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut found = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(batch) = queue.get(at) else { return found };
            let edits: Vec<Edit> =
                batch.iter().filter_map(|at| steps.get(*at)).flat_map(|step| step.edits.iter().cloned()).collect();
            found.push((at, trial.outcome(&edits)));
        }
    };
    let mut found = threads::many(threads, work);
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, outcome)| outcome).collect()
}

/// What a check of a batch decides.
struct Settled {
    /// Steps with whether they brought nothing new.
    decided: Vec<(usize, bool)>,
    /// Batches to check again.
    again: Vec<Vec<usize>>,
}

fn settle(steps: &[Step], batch: &[usize], outcome: Option<&Outcome>) -> Settled {
    let all = |holds: bool| Settled { decided: batch.iter().map(|at| (*at, holds)).collect(), again: Vec::new() };
    let new = match outcome {
        Some(outcome) if outcome.new.is_empty() => return all(true),
        _ if batch.len() < 2 => return all(false),
        Some(outcome) => outcome.new.as_slice(),
        None => return Settled { decided: Vec::new(), again: halves(batch) },
    };
    let mut failed: BTreeSet<usize> = BTreeSet::new();
    let mut suspects: BTreeSet<usize> = BTreeSet::new();
    let mut is_riddle = false;
    for names in new {
        let named = |at: &&usize| steps.get(**at).is_some_and(|step| step.names.iter().any(|name| mentions(names, name)));
        let by: Vec<usize> = batch.iter().filter(named).copied().collect();
        match by.as_slice() {
            [] => is_riddle = true,
            [only] if steps.get(*only).is_some_and(|step| step.changes.iter().any(|name| mentions(names, name))) => {
                failed.insert(*only);
            }
            // It has to do with what the step is about, not with what it changes: another one may have brought it.
            [only] => {
                suspects.insert(*only);
            }
            several => suspects.extend(several),
        }
    }
    suspects.retain(|at| !failed.contains(at));
    let rest: Vec<usize> = batch.iter().filter(|at| !failed.contains(at) && !suspects.contains(at)).copied().collect();
    let suspects: Vec<usize> = suspects.into_iter().collect();
    let mut again = if suspects.is_empty() { Vec::new() } else { halves(&suspects) };
    // What names nobody may come of any of them.
    let is_riddle = is_riddle && rest.len() == batch.len();
    if is_riddle {
        again.extend(halves(&rest))
    } else if !rest.is_empty() {
        again.insert(0, rest)
    }
    Settled { decided: failed.into_iter().map(|at| (at, false)).collect(), again }
}

fn halves(batch: &[usize]) -> Vec<Vec<usize>> {
    let (one, other) = batch.split_at(batch.len().div_ceil(2));
    [one, other].into_iter().filter(|half| !half.is_empty()).map(<[usize]>::to_vec).collect()
}

/// How many findings from a warning up about the same things a remedy leaves. What other steps of its batch removed is left by it.
fn others(findings: &[Judged], finding: &Judged, outcome: &Outcome, batch: &[usize], steps: &[Step], open: &[Open]) -> usize {
    let shares = |other: &Judged| {
        other.level >= Level::Warning
            && other.waived.is_none()
            && other.concerns.iter().any(|name| finding.concerns.contains(name))
    };
    let left = outcome.report.findings.iter().filter(|other| shares(other)).count();
    let mine = |step: &&Step| {
        let is_own =
            |number: &usize| open.get(*number).and_then(|open| findings.get(open.number)).is_some_and(|it| it == finding);
        step.openings.iter().any(is_own)
    };
    let removed = (batch.iter().filter_map(|at| steps.get(*at)).filter(|step| !mine(step)))
        .flat_map(|step| &step.openings)
        .filter_map(|number| findings.get(open.get(*number)?.number))
        .filter(|other| shares(other))
        .count();
    left + removed
}

/// Whether a name, what it is in, or what is in it is among `names`.
fn mentions(names: &BTreeSet<String>, name: &str) -> bool {
    let holds = |other: &String| {
        let (long, short) = if other.len() > name.len() { (other.as_str(), name) } else { (name, other.as_str()) };
        long.strip_prefix(short).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    names.iter().any(holds)
}
