//! Remedies tried: each is made in memory, the whole design is checked again, and only one that leaves nothing behind is offered.
//!
//! A trial costs a whole check, so remedies of findings that share nothing are made together and one check proves all of them; where
//! something is left, those it points to are tried apart ([`rounds`](super::rounds)). A run makes at most [`MOST`] checks, fewer where the
//! design is large, and a design without findings that propose a remedy makes none. What was not tried is offered as not tried, and counted.

use super::{Checker, overlay::Overlay, rounds};
use crate::{
    analysis::{Analysis, Modes},
    causes::{hides, is_reading},
    design::Design,
    finding::{Edit, Judged, Level, Offer, figures_grown},
    format::rules::INCLUDE,
    report::Report,
    text::Sources,
};
use std::{collections::BTreeMap, num::NonZero};

/// Most checks of one run: some for those that are proved together, the others for those that have to be distinguished.
const MOST: usize = 20;
/// Conductors that are checked again in all trials of one run together, beyond the first [`LEAST`] checks.
const MOST_CONDUCTORS: usize = 1_500;
/// Checks that even the largest design makes: all first remedies together, then without those that failed, and the same for the second.
const LEAST: usize = 4;
/// The share by which a figure of another finding may grow: rounding, and the small currents that any change moves.
const DRIFT: f64 = 0.02;

/// A finding whose remedies are being tried.
pub(super) struct Open {
    /// Its number in the report.
    pub(super) number: usize,
    /// Which of its remedies comes next.
    pub(super) next: usize,
    best: Option<Offer>,
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

/// Tries the remedies of a report and sets what each finding offers.
///
/// The first remedy of every finding comes first, the most severe findings before others, then the second of those for which it was not
/// enough, and so on. Findings that a waiver accepts are left alone, and those that may only follow from a reading mistake; while there is a
/// mistake of reading, none but these are tried. The same design gets the same trials, however many threads there are.
pub(super) fn try_remedies(checker: &Checker, analysis: &Analysis, report: &mut Report) {
    let findings = &report.findings;
    let held: Vec<bool> = report.causes.iter().flat_map(|cause| cause.findings.clone().map(|_| cause.held_back)).collect();
    let is_held = |number: usize| held.get(number).copied().unwrap_or_default();
    let mut waiting: Vec<Open> = (findings.iter().enumerate())
        .filter(|(number, finding)| finding.waived.is_none() && !finding.remedies.is_empty() && !is_held(*number))
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

/// A design with edits made, checked again.
pub(super) struct Outcome {
    /// What was found.
    pub(super) report: Report,
    /// The names in each finding that had not been there, or not as severe.
    pub(super) new: Vec<std::collections::BTreeSet<String>>,
}

/// A checked design, and what it takes to check it again with edits made.
pub(super) struct Trial<'a> {
    checker: Checker,
    sources: &'a Sources,
    root: &'a str,
    modes: Vec<String>,
    before: Found<'a>,
}

impl<'a> Trial<'a> {
    pub(super) fn new(checker: &Checker, analysis: &'a Analysis, findings: &'a [Judged]) -> Self {
        let (design, model) = (analysis.design(), analysis.model());
        let modes = analysis.electrical().modes().map(|mode| model.mode_name(mode.id).to_owned()).collect();
        // Trials run side by side; each of them stays on its thread.
        let checker = Checker { tries: false, ..checker.threads(NonZero::<usize>::MIN) };
        Self { checker, sources: design.sources(), root: design.root(), modes, before: Found::new(findings) }
    }

    /// What edits that belong together do to the findings.
    pub(super) fn outcome(&self, edits: &[Edit]) -> Option<Outcome> {
        let report = self.report_with(edits).filter(|report| report.broken_rules.is_empty())?;
        let new = self.before.new_in(&Found::new(&report.findings)).map(rounds::things).collect();
        Some(Outcome { report, new })
    }

    /// Whether a finding is gone.
    pub(super) fn lacks(&self, outcome: &Outcome, finding: &Judged) -> bool {
        Found::new(&outcome.report.findings).lacks(finding, &self.before)
    }

    /// Whether edits of several findings leave nothing that was not there.
    pub(super) fn adds_nothing(&self, edits: &[Edit]) -> bool {
        self.report_with(edits).is_some_and(|report| {
            report.broken_rules.is_empty() && self.before.new_in(&Found::new(&report.findings)).next().is_none()
        })
    }

    /// The report of the design with `edits` made, in the same modes; `None` if they can't be made.
    fn report_with(&self, edits: &[Edit]) -> Option<Report> {
        let design = Design::load(&Overlay::new(self.sources, edits)?, self.root);
        let analysis = Analysis::of(&design, Modes::Named(&self.modes)).ok()?;
        Some(self.checker.check(&analysis))
    }
}

/// Findings by identity.
struct Found<'f>(BTreeMap<String, Vec<&'f Judged>>);

impl<'f> Found<'f> {
    fn new(findings: &'f [Judged]) -> Self {
        let mut found: BTreeMap<String, Vec<&Judged>> = BTreeMap::new();
        for finding in findings {
            found.entry(finding.identity()).or_default().push(finding);
        }
        Self(found)
    }

    fn of(&self, identity: &str) -> &[&'f Judged] {
        self.0.get(identity).map_or(&[], Vec::as_slice)
    }

    /// Whether `finding`, which was there `before`, is gone here: fewer of its identity, and none that says the same.
    fn lacks(&self, finding: &Judged, before: &Found<'_>) -> bool {
        let identity = finding.identity();
        let now = self.of(&identity);
        now.len() < before.of(&identity).len() && now.iter().all(|other| other.headline != finding.headline)
    }

    /// What in `after`, from a warning up, was not here already and as severe. What was found of more things is not new of some of them.
    fn new_in<'a>(&'a self, after: &'a Found<'f>) -> impl Iterator<Item = &'a Judged> {
        let matters = |finding: &&&Judged| finding.level >= Level::Warning;
        after.0.iter().flat_map(move |(identity, now)| {
            let known = self.of(identity);
            let is_more = now.iter().filter(matters).count() > known.iter().filter(matters).count();
            now.iter().copied().filter(move |finding| {
                let was_here = known.iter().any(|before| is_as_severe(before, finding));
                finding.level >= Level::Warning && (is_more || !was_here) && !(known.is_empty() && self.holds_more(finding))
            })
        })
    }

    /// Whether a finding of the same rule concerned all that this one does and more, and was as severe.
    fn holds_more(&self, finding: &Judged) -> bool {
        let rule = format!("{} ", finding.rule);
        let of_rule = self.0.range(rule.clone()..).take_while(|(identity, _)| identity.starts_with(&rule));
        let holds = |before: &&Judged| {
            is_as_severe(before, finding) && finding.concerns.iter().all(|name| before.concerns.contains(name))
        };
        !finding.concerns.is_empty() && of_rule.flat_map(|(_, before)| before).copied().any(|before| holds(&before))
    }
}

/// Whether `before` was as severe as a finding is now.
fn is_as_severe(before: &Judged, now: &Judged) -> bool {
    now.level <= before.level && !has_grown(&before.headline, now)
}

fn has_grown(before: &str, finding: &Judged) -> bool {
    before != finding.headline && figures_grown(before, finding).iter().any(|(_, share)| *share > DRIFT)
}
