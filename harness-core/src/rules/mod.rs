//! The rules: pure functions over an analysed design, one file each.

use crate::finding::{Finding, Level};

/// One rule: its record and its function.
#[derive(Debug)]
pub struct Rule {
    /// `group/fault`; the only code, never reused.
    pub name: &'static str,
    /// The level its findings have by default.
    pub level: Level,
    /// The version in which it appeared.
    pub since: &'static str,
    /// One line: what it finds. Used by the table of rules.
    pub finds: &'static str,
    /// Its documentation in Markdown: What it checks / Why it matters / Example / Remedy / What it cannot see / Source.
    pub docs: &'static str,
}

impl Rule {
    /// The group, the part before `/`.
    #[must_use]
    pub fn group(&self) -> &'static str {
        self.name.split('/').next().unwrap_or(self.name)
    }

    /// A finding of this rule.
    #[must_use]
    pub fn finding(&self, span: crate::text::Span, headline: impl Into<String>) -> Finding {
        Finding::new(self.name, self.level, span, headline)
    }
}

/// Every rule, sorted by name: those of reading and resolving and those of checking.
#[must_use]
pub fn all() -> Vec<&'static Rule> {
    Vec::new()
}
