//! Findings of both reports, compared by rule and by what they concern.

use super::Pair;
use crate::{
    diff::renames::Renames,
    finding::{Figure, Judged, Level, Waived},
    report::Report,
};
use std::{cmp::Reverse, collections::BTreeMap};

/// How the findings of two reports compare.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FindingChanges {
    /// Findings that the newer report alone has, the most severe first.
    pub came: Vec<Told>,
    /// Findings that the older report alone has, likewise.
    pub went: Vec<Told>,
    /// Findings of both reports of which the level, a figure or the waiver changed, the most severe first.
    pub changed: Vec<Stayed>,
    /// How many findings both reports have that did not change.
    pub unchanged: usize,
}

impl FindingChanges {
    /// Whether no finding came, went or changed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.came.is_empty() && self.went.is_empty() && self.changed.is_empty()
    }
}

/// A finding of one report, as it names things.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The rule, as `group/fault`.
    pub rule: &'static str,
    /// How severe it is.
    pub level: Level,
    /// Its headline.
    pub headline: String,
    /// What it concerns; empty for findings about text alone.
    pub concerns: Vec<String>,
    /// Where its primary place is: file, line, column.
    pub place: String,
    /// The figures that it rests on; empty where there are none.
    pub figures: Vec<Figure>,
    /// The waiver that accepts it, if there is one.
    pub waived: Option<Waived>,
}

/// A finding of both reports.
#[derive(Debug, Clone, PartialEq)]
pub struct Stayed {
    /// As the older report says it.
    pub old: Told,
    /// As the newer report says it.
    pub new: Told,
    /// The figures that changed, by their names, in the order of the newer report; `None` where a report has none of that
    /// name. Empty where level or waiver alone changed.
    pub figures: Vec<(&'static str, Pair<Option<String>>)>,
}

impl Told {
    fn new(report: &Report, finding: &Judged) -> Self {
        Self {
            rule: finding.rule,
            level: finding.level,
            headline: finding.headline.clone(),
            concerns: finding.concerns.clone(),
            place: report.sources.place(finding.primary.span),
            figures: finding.figures.clone(),
            waived: finding.waived.clone(),
        }
    }

    /// For sorting: what is waived last, then the most severe first, then rule and headline.
    fn rank(&self) -> impl Ord + use<> {
        (self.waived.is_some(), Reverse(self.level), self.rule, self.headline.clone(), self.place.clone())
    }
}

/// What a finding is known by in both reports: the rule, and what it concerns in the words of the newer design.
///
/// What has no successor keeps a mark that no name bears.
fn key(finding: &Judged, renames: Option<&Renames>) -> (&'static str, Vec<String>) {
    let Some(renames) = renames else {
        let mut names = if finding.concerns.is_empty() { vec![finding.headline.clone()] } else { finding.concerns.clone() };
        names.sort_unstable();
        return (finding.rule, names);
    };
    if finding.concerns.is_empty() {
        return (finding.rule, vec![renames.in_ticks(&finding.headline).into_owned()]);
    }
    let successor = |name: &String| renames.successor(name).map_or_else(|| format!("{name}\n"), |name| name.into_owned());
    let mut names: Vec<String> = finding.concerns.iter().map(successor).collect();
    names.sort_unstable();
    (finding.rule, names)
}

pub(super) fn compare(reports: Pair<&Report>, renames: &Renames) -> FindingChanges {
    let mut groups: BTreeMap<(&'static str, Vec<String>), Pair<Vec<&Judged>>> = BTreeMap::new();
    for finding in &reports.old.findings {
        groups.entry(key(finding, Some(renames))).or_default().old.push(finding);
    }
    for finding in &reports.new.findings {
        groups.entry(key(finding, None)).or_default().new.push(finding);
    }
    let mut changes = FindingChanges::default();
    for Pair { mut old, mut new } in groups.into_values() {
        // Of several findings of one identity those that are the same belong together, wherever they are now.
        new.retain(|after| {
            let same = old.iter().position(|before| is_same(before, after, renames));
            changes.unchanged += usize::from(same.is_some());
            same.map(|at| old.remove(at)).is_none()
        });
        let both = old.len().min(new.len());
        let (gone, come) = (old.split_off(both), new.split_off(both));
        changes.went.extend(gone.into_iter().map(|finding| Told::new(reports.old, finding)));
        changes.came.extend(come.into_iter().map(|finding| Told::new(reports.new, finding)));
        for (before, after) in old.into_iter().zip(new) {
            changes.changed.push(Stayed {
                figures: figures(before, after, renames),
                old: Told::new(reports.old, before),
                new: Told::new(reports.new, after),
            });
        }
    }
    changes.came.sort_by_cached_key(Told::rank);
    changes.went.sort_by_cached_key(Told::rank);
    changes.changed.sort_by_cached_key(|stayed| (Reverse(stayed.old.level.max(stayed.new.level)), stayed.new.rank()));
    changes
}

fn is_same(old: &Judged, new: &Judged, renames: &Renames) -> bool {
    old.level == new.level && is_waived_alike(old, new) && figures(old, new, renames).is_empty()
}

/// Where a waiver is written does not matter.
fn is_waived_alike(old: &Judged, new: &Judged) -> bool {
    let words = |finding: &Judged| {
        let waived = finding.waived.clone();
        waived.map(|waived| (waived.reason, waived.by, waived.until))
    };
    words(old) == words(new)
}

/// The figures that differ. Figures of one name are compared as one list: their order may follow the file's.
fn figures(old: &Judged, new: &Judged, renames: &Renames) -> Vec<(&'static str, Pair<Option<String>>)> {
    let mut names: Vec<&'static str> = Vec::new();
    for figure in new.figures.iter().chain(&old.figures) {
        if !names.contains(&figure.name) {
            names.push(figure.name);
        }
    }
    let all = |finding: &Judged, name: &str| {
        let values = finding.figures.iter().filter(|figure| figure.name == name).map(|figure| figure.value.clone());
        values.reduce(|all, value| format!("{all}; {value}"))
    };
    let mut differing = Vec::new();
    for name in names {
        let (before, after) = (all(old, name), all(new, name));
        let is_same = before == after || before.as_deref().map(|text| renames.in_ticks(text)).as_deref() == after.as_deref();
        if !is_same {
            differing.push((name, Pair { old: before, new: after }));
        }
    }
    differing
}
