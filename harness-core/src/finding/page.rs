//! The page of a rule: its name, level and documentation.

use super::{Finding, Level, Weighed};
use crate::text::Span;

/// The page of one rule. The documentation here is the only copy: `explain`, the generated table and the tests read it.
#[derive(Debug)]
pub struct RulePage {
    /// `group/fault`; the only code, never reused.
    pub name: &'static str,
    /// The level its findings have by default.
    pub level: Level,
    /// The version in which it appeared.
    pub since: &'static str,
    /// One line: what it finds. Used by the table of rules.
    pub finds: &'static str,
    /// Markdown under fixed headings: What it checks / Why it matters / Example / Remedy / What it cannot see / Source.
    pub docs: &'static str,
}

impl RulePage {
    /// The group, the part before `/`.
    #[must_use]
    pub fn group(&self) -> &'static str {
        self.name.split('/').next().unwrap_or(self.name)
    }

    /// A finding of this rule about what the text says, without figures, at `span`.
    #[must_use]
    pub fn finding(&self, span: Span, headline: impl Into<String>) -> Finding {
        Finding::new(self.name, self.level, span, headline)
    }

    /// A finding of this rule at `span`, with the figures of its headline and the direction in which each is worse.
    #[must_use]
    pub fn weighed(&self, span: Span, headline: impl Into<String>, figures: impl IntoIterator<Item = Weighed>) -> Finding {
        let mut finding = self.finding(span, headline);
        finding.weighed.extend(figures);
        finding
    }
}
