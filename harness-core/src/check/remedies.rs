//! Remedies tried: each is made in memory, the whole design is checked again, and only one that leaves nothing behind is offered.
//!
//! A trial costs a whole check, so remedies of findings that share nothing are made together and one check proves all of them; where
//! something is left, those it points to are tried apart ([`rounds`](super::rounds)). A run makes at most [`MOST`] checks, fewer where the
//! design is large, and a design without findings that propose a remedy makes none. What was not tried is offered as not tried, and counted.

use super::{
    Checker,
    rounds::{self, Open, Verdict},
    trial::Trial,
};
use crate::{
    analysis::Analysis,
    causes::{hides, is_reading},
    finding::Offer,
    format::rules::INCLUDE,
    report::Report,
};

/// Most checks of one run: some for those that are proved together, the others for those that have to be distinguished. A check of a small
/// design takes milliseconds, so what bounds a run is the work, not the number.
const MOST: usize = 150;
/// Conductors that are checked again in all trials of one run together, beyond the first [`LEAST`] checks.
const MOST_CONDUCTORS: usize = 1_500;
/// Checks that even the largest design makes: all first remedies together, then without those that failed, and the same for the second.
const LEAST: usize = 4;
/// Tries the remedies of a report and sets what each finding offers.
///
/// The first remedy of every finding comes first, the most severe findings before others, then the second of those for which it was not
/// enough, and so on. Findings that a waiver accepts are left alone, those that follow from another one, and those that may only follow from a reading mistake; while there is a
/// mistake of reading, none but these are tried. The same design gets the same trials, however many threads there are.
pub(super) fn try_remedies(checker: &Checker, analysis: &Analysis, report: &mut Report) {
    let findings = &report.findings;
    let held: Vec<bool> = report.causes.iter().flat_map(|cause| cause.findings.clone().map(|_| cause.held_back)).collect();
    let is_held = |number: usize| held.get(number).copied().unwrap_or_default();
    let mut waiting: Vec<Open> = (findings.iter().enumerate())
        .filter(|(number, finding)| finding.waived.is_none() && !finding.remedies.is_empty() && !is_held(*number))
        // What was tried already, and what follows from another finding: its own remedy would suit the slip.
        .filter(|(_, finding)| finding.offer.is_none() && !finding.follows)
        // The file that would be read is not among those in memory.
        .filter(|(_, finding)| finding.rule != INCLUDE.name)
        .map(|(number, _)| Open { number, next: 0, best: None })
        .collect();
    if waiting.is_empty() || !report.broken_rules.is_empty() {
        return;
    }
    waiting.sort_by_key(|open| std::cmp::Reverse(findings.get(open.number).map(|finding| finding.level)));
    // Where a mistake of reading has hidden something, a trial would judge half a design: such mistakes come first.
    let is_hiding = findings.iter().any(hides);
    let (mut waiting, mut done): (Vec<Open>, Vec<Open>) =
        waiting.into_iter().partition(|open| !is_hiding || findings.get(open.number).is_some_and(is_reading));
    let mut left = MOST.min(MOST_CONDUCTORS / report.summary.conductors.max(1)).max(LEAST);
    let trial = Trial::new(checker, analysis, findings);
    while !waiting.is_empty() {
        let verdicts = rounds::round(&trial, checker.threads, findings, &waiting, &mut left);
        let mut more = Vec::new();
        for (mut open, verdict) in waiting.into_iter().zip(verdicts) {
            let Some(finding) = findings.get(open.number) else { continue };
            let is_better = |others: usize| open.best.as_ref().is_none_or(|best| others < best.others);
            match verdict {
                Verdict::Untried => {
                    done.push(open);
                    continue;
                }
                Verdict::Holds(others) if is_better(others) => {
                    open.best = finding.remedies.get(open.next).cloned().map(|remedy| Offer { remedy, tried: true, others });
                }
                Verdict::Holds(_) | Verdict::Fails => {}
            }
            open.next += 1;
            let is_enough = open.best.as_ref().is_some_and(|best| best.others == 0);
            if is_enough || open.next >= finding.remedies.len() { done.push(open) } else { more.push(open) }
        }
        waiting = more;
    }
    for open in done {
        let Some(finding) = report.findings.get_mut(open.number) else { continue };
        let untried = || finding.remedies.get(open.next).cloned().map(|remedy| Offer { remedy, tried: false, others: 0 });
        let offer = open.best.or_else(untried);
        report.untried += usize::from(offer.as_ref().is_some_and(|offer| !offer.tried));
        finding.offer = offer;
    }
}
