//! Remedies tried: each is made in memory, the whole design is checked again, and only one that leaves nothing behind is offered.
//!
//! A trial costs a whole check, so a run makes at most [`MOST`] of them and fewer where the design is large. A design without findings
//! that propose a remedy costs nothing. What was not tried is offered as not tried, and counted.

use super::{Checker, overlay::Overlay};
use crate::{
    analysis::{Analysis, Modes},
    design::Design,
    finding::{Edit, Judged, Level, Offer, Remedy, figures_grown},
    report::Report,
    text::Sources,
    threads,
};
use std::{
    collections::BTreeMap,
    num::NonZero,
    sync::atomic::{AtomicUsize, Ordering},
};

/// Most trials of one run.
const MOST: usize = 20;
/// Conductors that are checked again in all trials of one run together: a trial of a large design takes as long as its check.
const MOST_CONDUCTORS: usize = 10_000;
/// The share by which a figure of another finding may grow: rounding, and the small currents that any change moves.
const DRIFT: f64 = 0.02;

/// A finding whose remedies are being tried.
struct Open {
    /// Its number in the report.
    number: usize,
    /// Which of its remedies comes next.
    next: usize,
    best: Option<Offer>,
}

/// Tries the remedies of a report and sets what each finding offers.
///
/// The first remedy of every finding comes first, the most severe findings before others, then the second of those for which it was not
/// enough, and so on. Findings that a waiver accepts are left alone. The same design gets the same trials, however many threads there are.
pub(super) fn try_remedies(checker: &Checker, analysis: &Analysis, report: &mut Report) {
    let findings = &report.findings;
    let mut waiting: Vec<Open> = (findings.iter().enumerate())
        .filter(|(_, finding)| finding.waived.is_none() && !finding.remedies.is_empty())
        .map(|(number, _)| Open { number, next: 0, best: None })
        .collect();
    if waiting.is_empty() || !report.broken_rules.is_empty() {
        return;
    }
    waiting.sort_by_key(|open| std::cmp::Reverse(findings.get(open.number).map(|finding| finding.level)));
    let mut left = MOST.min(MOST_CONDUCTORS / report.summary.conductors.max(1));
    let trial = Trial::new(checker, analysis, findings);
    let mut done: Vec<Open> = Vec::new();
    while left > 0 && !waiting.is_empty() {
        let rest = waiting.split_off(left.min(waiting.len()));
        left -= waiting.len();
        let tried = trial.round(checker.threads, findings, waiting);
        let remains = |open: &Open| findings.get(open.number).is_some_and(|finding| open.next < finding.remedies.len());
        let (more, over): (Vec<Open>, Vec<Open>) =
            tried.into_iter().partition(|open| open.best.as_ref().is_none_or(|best| best.others > 0) && remains(open));
        done.extend(over);
        // Each finding has its first trial before any has its second.
        waiting = rest.into_iter().chain(more).collect();
    }
    let (untried, started): (Vec<Open>, Vec<Open>) = waiting.into_iter().partition(|open| open.next == 0);
    report.untried = untried.len();
    for open in done.into_iter().chain(started) {
        if let Some(finding) = report.findings.get_mut(open.number) {
            finding.offer = open.best;
        }
    }
    for open in untried {
        if let Some(finding) = report.findings.get_mut(open.number) {
            finding.offer = finding.remedies.first().cloned().map(|remedy| Offer { remedy, tried: false, others: 0 });
        }
    }
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

    /// Tries the next remedy of each finding, side by side.
    fn round(&self, threads: Option<NonZero<usize>>, findings: &[Judged], waiting: Vec<Open>) -> Vec<Open> {
        let next = AtomicUsize::new(0);
        let work = || {
            let mut found: Vec<(usize, Option<Offer>)> = Vec::new();
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                let Some(open) = waiting.get(at) else { return found };
                found.push((at, findings.get(open.number).and_then(|finding| self.offer(finding, open.next))));
            }
        };
        let mut found = threads::many(threads, work);
        found.sort_by_key(|(at, _)| *at);
        let better = |new: Option<Offer>, best: Option<Offer>| match (new, best) {
            (Some(new), Some(best)) if new.others >= best.others => Some(best),
            (Some(new), _) => Some(new),
            (None, best) => best,
        };
        waiting
            .into_iter()
            .zip(found)
            .map(|(open, (_, offer))| Open { next: open.next + 1, best: better(offer, open.best), number: open.number })
            .collect()
    }

    /// One remedy of a finding, if it removes it and adds nothing.
    fn offer(&self, finding: &Judged, number: usize) -> Option<Offer> {
        let remedy = finding.remedies.get(number)?;
        let others = self.leaves(finding, remedy)?;
        Some(Offer { remedy: remedy.clone(), tried: true, others })
    }

    /// How many findings about the same things a remedy leaves; `None` if it does not remove its own finding, or if another comes or
    /// becomes more severe.
    fn leaves(&self, finding: &Judged, remedy: &Remedy) -> Option<usize> {
        let report = self.report_with(&remedy.edits)?;
        let after = Found::new(&report.findings);
        let holds = report.broken_rules.is_empty() && after.lacks(finding, &self.before) && self.before.covers(&after);
        let shares = |other: &&Judged| {
            other.level >= Level::Warning
                && other.waived.is_none()
                && other.concerns.iter().any(|name| finding.concerns.contains(name))
        };
        holds.then(|| report.findings.iter().filter(shares).count())
    }

    /// Whether edits of several findings leave nothing that was not there.
    pub(super) fn adds_nothing(&self, edits: &[Edit]) -> bool {
        self.report_with(edits)
            .is_some_and(|report| report.broken_rules.is_empty() && self.before.covers(&Found::new(&report.findings)))
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

    /// Whether everything from a warning up in `after` was here already, and as severe.
    fn covers(&self, after: &Found<'_>) -> bool {
        let matters = |finding: &&&Judged| finding.level >= Level::Warning;
        after.0.iter().all(|(identity, now)| {
            let known = self.of(identity);
            let most = known.iter().map(|finding| finding.level).max();
            let count = now.iter().filter(matters).count();
            count <= known.iter().filter(matters).count()
                && now.iter().filter(matters).all(|finding| {
                    Some(finding.level) <= most && known.iter().any(|before| !has_grown(&before.headline, finding))
                })
        })
    }
}

fn has_grown(before: &str, finding: &Judged) -> bool {
    before != finding.headline && figures_grown(before, finding).iter().any(|(_, share)| *share > DRIFT)
}
