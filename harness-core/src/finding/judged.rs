//! A finding as a run judged it: with the level that the policy gives it, its fingerprint, and what people made of it.

use super::{Finding, Level, Offer};
use crate::{date::Date, text::Span};
use std::ops::Deref;

/// That a finding was reviewed and accepted: it is listed, and fails no check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waived {
    /// Why it is accepted.
    pub reason: String,
    /// Who accepted it.
    pub by: Option<String>,
    /// The last day on which it holds.
    pub until: Option<Date>,
    /// What was reviewed, if the waiver records it: it accepts that and nothing more severe.
    pub reviewed: Option<String>,
    /// Where the waiver is written.
    pub span: Span,
}

/// A finding as a run judged it. What the rule stated is read through it: `judged.headline`.
///
/// The fields beside the finding are set by `review`, which knows the policy and the waivers of the design.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// What the rule stated.
    pub finding: Finding,
    /// How severe it is here: as the rule stated, or as the workshop's policy raised it.
    pub level: Level,
    /// What distinguishes it from all others of its report and stays when files are renamed and lines are moved; empty before a report
    /// has set it.
    pub fingerprint: String,
    /// The waiver that accepts it, if there is one.
    pub waived: Option<Waived>,
    /// Whether a baseline knew it; set by [`Baseline::compare`](crate::review::baseline::Baseline::compare).
    pub known: bool,
    /// Whether it follows from the first finding of its cause: with that put right, a check no longer had it.
    pub follows: bool,
    /// The step that removes it, if one was found; set by a checker that tries remedies
    /// ([`Checker::try_remedies`](crate::Checker::try_remedies)).
    pub offer: Option<Offer>,
}

impl Judged {
    /// Whether it can fail a check: no waiver accepts it and no baseline knew it. Whoever shows findings shows the others too.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.waived.is_none() && !self.known
    }

    /// The total order of the findings of one cause, and of a report that is sorted by place alone: file, start, the most severe first, rule, headline.
    #[must_use]
    pub fn order(&self, other: &Self) -> std::cmp::Ordering {
        let key = |f: &Self| (f.primary.span.file, f.primary.span.start, std::cmp::Reverse(f.level), f.rule);
        key(self).cmp(&key(other)).then_with(|| self.headline.cmp(&other.headline))
    }
}

impl From<Finding> for Judged {
    /// A finding at the level that its rule states, accepted by nobody and known to nobody.
    fn from(finding: Finding) -> Self {
        Self {
            level: finding.stated,
            finding,
            fingerprint: String::new(),
            waived: None,
            known: false,
            follows: false,
            offer: None,
        }
    }
}

impl Deref for Judged {
    type Target = Finding;

    fn deref(&self) -> &Finding {
        &self.finding
    }
}
