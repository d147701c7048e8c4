//! The findings by rule and thing, and what waivers accept of them.

use super::acceptable;
use crate::{
    finding::{Judged, Level, RulePage, covers, growth},
    model::Waiver,
    text::Span,
};
use rustc_hash::FxHashMap;
use std::{
    cell::Cell,
    collections::{BTreeMap, btree_map::Entry},
};

/// The findings by rule and thing, and what waivers accept of them.
pub(super) struct Groups<'f, 'w> {
    groups: FxHashMap<(&'static str, &'f str), Group>,
    /// By the number of the finding: of two waivers of one finding the first is shown.
    pub(super) accepted: BTreeMap<usize, &'w Waiver>,
    /// Findings that are more severe than a waiver records, and in what.
    pub(super) outgrown: BTreeMap<usize, (&'w Waiver, Vec<String>)>,
    findings: &'f [Judged],
}

#[derive(Default)]
struct Group {
    dangers: Part,
    others: Part,
}

/// What a waiver has to do with the findings of its rule about its thing.
#[derive(Default)]
pub(super) struct Share {
    /// How many are the waiver's.
    pub(super) of_it: usize,
    /// How many it may not take.
    pub(super) refused: usize,
    /// The waiver that accepts all of them already, where there is one.
    pub(super) covered_by: Option<Span>,
}

/// Findings that one waiver accepts together or not at all.
#[derive(Default)]
struct Part {
    numbers: Vec<usize>,
    /// A waiver accepted all of them: the next one has nothing to add.
    is_accepted: Cell<bool>,
}

impl<'f, 'w> Groups<'f, 'w> {
    pub(super) fn new(findings: &'f [Judged]) -> Self {
        let mut groups: FxHashMap<(&'static str, &'f str), Group> = FxHashMap::default();
        for (number, finding) in findings.iter().enumerate() {
            for thing in &finding.concerns {
                let group = groups.entry((finding.rule, thing)).or_default();
                let part = if finding.level == Level::Danger { &mut group.dangers } else { &mut group.others };
                // A finding may name a thing twice.
                if part.numbers.last() != Some(&number) {
                    part.numbers.push(number);
                }
            }
        }
        Self { groups, accepted: BTreeMap::new(), outgrown: BTreeMap::new(), findings }
    }

    /// Whether a finding of the group is accepted by no waiver so far.
    fn is_open(&self, group: &Group) -> bool {
        [&group.dangers, &group.others]
            .into_iter()
            .flat_map(|part| &part.numbers)
            .any(|number| !self.accepted.contains_key(number))
    }

    /// What findings of `rule` that nobody accepted are about, those within `thing` alone if there are any.
    pub(super) fn things(&self, rule: &str, thing: &str) -> Vec<&'f str> {
        let of_rule = self.groups.iter().filter(|((of, _), group)| *of == rule && self.is_open(group));
        let mut things: Vec<&str> = of_rule.map(|((_, thing), _)| *thing).collect();
        things.sort_unstable();
        let is_within = |name: &&str| name.strip_prefix(thing).is_some_and(|rest| rest.starts_with('.'));
        let within: Vec<&str> = things.iter().copied().filter(|name| is_within(name)).collect();
        if within.is_empty() { things } else { within }
    }

    /// The rules that found something about `thing` that nobody accepted.
    pub(super) fn rules(&self, thing: &str) -> Vec<&'static str> {
        let of_it =
            self.groups.iter().filter(|((rule, about), group)| *about == thing && acceptable(rule) && self.is_open(group));
        let mut rules: Vec<&str> = of_it.map(|((rule, _), _)| *rule).collect();
        rules.sort_unstable();
        rules
    }

    /// Accepts what is left of findings that were reviewed for more things: `thing` is no longer among them, and all others are named.
    fn accept_rest(&mut self, rule: &'static RulePage, thing: &str, waiver: &'w Waiver, reviewed: &str) -> Share {
        let answered = waiver.by.is_some() && waiver.until.is_some();
        let mut share = Share::default();
        let mut is_needed = false;
        for (number, finding) in self.findings.iter().enumerate() {
            if finding.rule != rule.name || !covers(reviewed, finding) {
                continue;
            }
            if finding.level == Level::Danger && !answered {
                share.refused += 1;
                continue;
            }
            share.of_it += 1;
            match (grown(reviewed, thing, finding, rule.level), self.accepted.entry(number)) {
                (_, Entry::Occupied(first)) => share.covered_by = share.covered_by.or(Some(first.get().span)),
                (Some(grown), Entry::Vacant(_)) => {
                    self.outgrown.entry(number).or_insert((waiver, grown));
                    is_needed = true;
                }
                (None, Entry::Vacant(place)) => {
                    place.insert(waiver);
                    is_needed = true;
                }
            }
        }
        Share { covered_by: share.covered_by.filter(|_| !is_needed), ..share }
    }

    /// Accepts the findings of `rule` about `thing` as far as they are no more severe than `reviewed` says.
    pub(super) fn accept(&mut self, rule: &'static RulePage, thing: &str, waiver: &'w Waiver, reviewed: Option<&str>) -> Share {
        let Some(Group { dangers, others }) = self.groups.get(&(rule.name, thing)) else {
            return reviewed.map(|reviewed| self.accept_rest(rule, thing, waiver, reviewed)).unwrap_or_default();
        };
        let answered = waiver.by.is_some() && waiver.until.is_some();
        let mut covered_by: Option<Span> = None;
        let mut is_needed = false;
        for part in [Some(others), answered.then_some(dangers)].into_iter().flatten() {
            if part.is_accepted.get() {
                let first = part.numbers.first().and_then(|number| self.accepted.get(number));
                covered_by = covered_by.or(first.map(|first| first.span));
                continue;
            }
            let mut all = true;
            for number in &part.numbers {
                let Some(finding) = self.findings.get(*number) else { continue };
                match reviewed.and_then(|reviewed| grown(reviewed, thing, finding, rule.level)) {
                    Some(grown) => {
                        self.outgrown.entry(*number).or_insert((waiver, grown));
                        all = false;
                        is_needed = true;
                    }
                    None => match self.accepted.entry(*number) {
                        Entry::Vacant(place) => {
                            place.insert(waiver);
                            is_needed = true;
                        }
                        Entry::Occupied(first) => covered_by = covered_by.or(Some(first.get().span)),
                    },
                }
            }
            part.is_accepted.set(all);
        }
        let (of_it, refused) = match answered {
            true => (others.numbers.len() + dangers.numbers.len(), 0),
            false => (others.numbers.len(), dangers.numbers.len()),
        };
        Share { of_it, refused, covered_by: covered_by.filter(|_| !is_needed) }
    }
}

/// What of a finding is more severe than what was reviewed. A text may record several findings, with a bar between: the one that is
/// nearest counts.
fn grown(reviewed: &str, thing: &str, finding: &Judged, default: Level) -> Option<Vec<String>> {
    let each = reviewed.split(" | ").map(|one| growth(one, thing, finding, Some(default)));
    each.min_by_key(Vec::len).filter(|grown| !grown.is_empty())
}
