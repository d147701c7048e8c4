//! One trial: a design with edits made in memory, checked again, and what that does to its findings.

use super::{Checker, overlay::Overlay};
use crate::{
    analysis::{Analysis, Modes},
    design::Design,
    finding::{Edit, Judged, Level, figures_grown},
    report::Report,
    text::Sources,
};
use std::{
    collections::{BTreeMap, BTreeSet},
    num::NonZero,
};

/// The share by which a figure of another finding may grow: rounding, and the small currents that any change moves.
const DRIFT: f64 = 0.02;

/// A design with edits made, checked again.
pub(super) struct Outcome {
    /// What was found.
    pub(super) report: Report,
    /// The names in each finding that had not been there, or not as severe.
    pub(super) new: Vec<BTreeSet<String>>,
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
        let checker = Checker { tries: false, folds: false, ..checker.threads(NonZero::<usize>::MIN) };
        Self { checker, sources: design.sources(), root: design.root(), modes, before: Found::new(findings) }
    }

    /// What edits that belong together do to the findings.
    pub(super) fn outcome(&self, edits: &[Edit]) -> Option<Outcome> {
        let report = self.report_with(edits).filter(|report| report.broken_rules.is_empty())?;
        let new = self.before.new_in(&Found::new(&report.findings)).map(things).collect();
        Some(Outcome { report, new })
    }

    /// Whether a finding is gone.
    pub(super) fn lacks(&self, outcome: &Outcome, finding: &Judged) -> bool {
        Found::new(&outcome.report.findings).lacks(finding, &self.before)
    }

    /// What was found with the edits made and under no such name before.
    pub(super) fn unknown<'o>(&'o self, outcome: &'o Outcome) -> impl Iterator<Item = &'o Judged> {
        outcome.report.findings.iter().filter(|finding| self.before.of(&finding.identity()).is_empty())
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
                let was_hidden = known.is_empty() && (self.holds_more(finding) || self.hides(finding));
                finding.level >= Level::Warning && (is_more || !was_here) && !was_hidden
            })
        })
    }

    /// Whether a finding says of a plug that was on a wrong port what it fits where it belongs: that was so before, and its wrong port hid it.
    fn hides(&self, finding: &Judged) -> bool {
        let rule = "mating/wrong-port ".to_owned();
        let mut misplaced =
            self.0.range(rule.clone()..).take_while(|(identity, _)| identity.starts_with(&rule)).flat_map(|(_, all)| all);
        finding.rule == "mating/swapped-mating"
            && misplaced.any(|before| before.concerns.iter().any(|name| finding.concerns.contains(name)))
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

/// All names that a finding mentions.
pub(super) fn names(finding: &Judged) -> BTreeSet<String> {
    let said = quoted(&finding.headline).chain(quoted(&finding.primary.text));
    said.chain(finding.concerns.iter().cloned()).collect()
}

/// What a finding is about: what it concerns; of a mistake in the text, what it mentions.
fn things(finding: &Judged) -> BTreeSet<String> {
    if finding.concerns.is_empty() { names(finding) } else { finding.concerns.iter().cloned().collect() }
}

pub(super) fn quoted(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split('`').skip(1).step_by(2).map(str::to_owned)
}
