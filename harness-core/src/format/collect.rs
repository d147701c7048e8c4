//! Findings as they are found, of which so many of one rule are kept.

use super::{
    limits::{FINDINGS, grouped},
    rules,
};
use crate::{finding::Finding, text::Span};
use rustc_hash::{FxHashMap, FxHashSet};

/// Findings in the order found. Of one rule the first 10,000 are kept; that more were found is itself a finding.
#[derive(Debug, Clone, Default)]
pub struct Findings {
    kept: Vec<Finding>,
    /// How many of each rule were found, and where the first is that was not kept.
    counts: FxHashMap<&'static str, (usize, Option<Span>)>,
    found: usize,
}

impl Findings {
    /// None yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a finding, or counts it if there are as many of its rule as are kept.
    pub fn push(&mut self, finding: Finding) {
        self.found += 1;
        let (found, left_out) = self.counts.entry(finding.rule).or_default();
        *found += 1;
        if *found <= FINDINGS.most {
            self.kept.push(finding);
        } else {
            left_out.get_or_insert(finding.primary.span);
        }
    }

    /// How many were found, kept or not.
    #[must_use]
    pub fn found(&self) -> usize {
        self.found
    }

    /// Puts one finding in the place of the last `count`, which say the same of one thing in several ways.
    pub(super) fn replace_last(&mut self, count: usize, finding: Finding) {
        for _ in 0..count {
            let Some(old) = self.kept.pop() else { break };
            self.found -= 1;
            if let Some((found, _)) = self.counts.get_mut(old.rule) {
                *found -= 1;
            }
        }
        self.push(finding);
    }

    /// Leaves one of each finding that says the same of one place: what several things have was read for each of them.
    pub(super) fn once(&mut self) {
        let mut seen = FxHashSet::default();
        let before = self.kept.len();
        self.kept.retain(|finding| seen.insert((finding.rule, finding.primary.span, finding.headline.clone())));
        self.found -= before - self.kept.len();
    }

    /// The findings that were kept, and one for each rule of which some were not.
    #[must_use]
    pub fn into_vec(mut self) -> Vec<Finding> {
        let mut crowded: Vec<(&str, usize, Span)> =
            self.counts.into_iter().filter_map(|(rule, (found, left_out))| Some((rule, found, left_out?))).collect();
        crowded.sort_unstable();
        for (rule, found, at) in crowded {
            let headline =
                format!("`{rule}` was found {} times; only the first {} are listed", grouped(found), grouped(FINDINGS.most));
            self.kept.push(rules::LIMIT.finding(at, headline).label("the first that is not listed").help(FINDINGS.remedy));
        }
        self.kept
    }
}

impl Extend<Finding> for Findings {
    fn extend<I: IntoIterator<Item = Finding>>(&mut self, findings: I) {
        findings.into_iter().for_each(|finding| self.push(finding));
    }
}
