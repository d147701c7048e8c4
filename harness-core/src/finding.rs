//! A finding: one fault at one primary place, with the figures it rests on and what to do.
//!
//! Findings stay structured until a report is written; how they look is the business of the program.

use crate::{date::Date, text::Span};
use std::fmt;

/// How grave a finding is. Ordered: a note is the least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Not checked, or untidy.
    Note,
    /// Outside a limit, or probably a slip.
    Warning,
    /// Cannot be built as written, will not work, or will be damaged.
    Error,
    /// May hurt someone or start a fire.
    Danger,
}

impl Level {
    /// All levels, the gravest first.
    pub const ALL: [Self; 4] = [Self::Danger, Self::Error, Self::Warning, Self::Note];

    /// The level's name as it is printed and written.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
            Self::Danger => "danger",
        }
    }

    /// The level called `name`.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|level| level.name() == name)
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A place in the sources with a few words on what stands there.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The place.
    pub span: Span,
    /// What to see there; may be empty for a primary place that needs no words.
    pub text: String,
}

/// One figure a verdict rests on: `capacity: 12.7 A`.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What the figure is: `current`, `capacity`, `limit`.
    pub name: &'static str,
    /// The value with its unit and, where it comes from a table, its source and status.
    pub value: String,
}

/// That a finding was reviewed and accepted: it is listed, and fails no check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waived {
    /// Why it is accepted.
    pub reason: String,
    /// Who accepted it.
    pub by: Option<String>,
    /// The last day on which it holds.
    pub until: Option<Date>,
    /// Where the waiver is written.
    pub span: Span,
}

/// One fault, one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule, as `group/fault`.
    pub rule: &'static str,
    /// How grave it is.
    pub level: Level,
    /// One line that stands alone: lower case, no full stop, ids in backticks.
    pub headline: String,
    /// The smallest span the builder would edit.
    pub primary: Label,
    /// The other parties, which may lie in other files.
    pub labels: Vec<Label>,
    /// Where the fault travels, from cause to effect; empty where there is no path.
    pub path: Vec<String>,
    /// The figures the verdict rests on.
    pub figures: Vec<Figure>,
    /// What to do; empty only where the headline already says it.
    pub help: String,
    /// What the finding concerns, by stable names (`front.101`, `fusebox.F4`): with `rule` its identity.
    pub concerns: Vec<String>,
    /// What tells it from all others of its report and stays when files are renamed and lines are moved; set by a check.
    pub fingerprint: String,
    /// The waiver that accepts it, if there is one; set by a check.
    pub waived: Option<Waived>,
    /// Whether a baseline knew it; set by [`Baseline::compare`](crate::review::baseline::Baseline::compare).
    pub known: bool,
}

impl Finding {
    /// A finding of `rule` at `span`; the rule's own level is set by [`Finding::level`].
    #[must_use]
    pub fn new(rule: &'static str, level: Level, span: Span, headline: impl Into<String>) -> Self {
        Self {
            rule,
            level,
            headline: headline.into(),
            primary: Label { span, text: String::new() },
            labels: Vec::new(),
            path: Vec::new(),
            figures: Vec::new(),
            help: String::new(),
            concerns: Vec::new(),
            fingerprint: String::new(),
            waived: None,
            known: false,
        }
    }

    /// Sets the words at the primary place.
    #[must_use]
    pub fn label(mut self, text: impl Into<String>) -> Self {
        self.primary.text = text.into();
        self
    }

    /// Adds another party.
    #[must_use]
    pub fn context(mut self, span: Span, text: impl Into<String>) -> Self {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// Sets the path from cause to effect.
    #[must_use]
    pub fn path(mut self, path: Vec<String>) -> Self {
        self.path = path;
        self
    }

    /// Adds a figure.
    #[must_use]
    pub fn figure(mut self, name: &'static str, value: impl fmt::Display) -> Self {
        self.figures.push(Figure { name, value: value.to_string() });
        self
    }

    /// Sets what to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = text.into();
        self
    }

    /// Adds a thing the finding concerns.
    #[must_use]
    pub fn concerns(mut self, name: impl Into<String>) -> Self {
        self.concerns.push(name.into());
        self
    }

    /// Whether it can fail a check: no waiver accepts it and no baseline knew it. Whoever shows findings shows the others too.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.waived.is_none() && !self.known
    }

    /// The rule and the names of what the finding concerns, sorted, in one line of text; findings about text alone are told
    /// apart by their headline. The start of the [`Self::fingerprint`].
    #[must_use]
    pub fn identity(&self) -> String {
        if self.concerns.is_empty() {
            return format!("{} \"{}\"", self.rule, self.headline);
        }
        // In the order of the file a moved line would make another finding of it.
        let mut names: Vec<&str> = self.concerns.iter().map(String::as_str).collect();
        names.sort_unstable();
        names.dedup();
        format!("{} {}", self.rule, names.join(" "))
    }

    /// The documented total order of findings in every report: file, start, gravest first, rule, headline.
    #[must_use]
    pub fn order(&self, other: &Self) -> std::cmp::Ordering {
        let key = |f: &Self| (f.primary.span.file, f.primary.span.start, std::cmp::Reverse(f.level), f.rule);
        key(self).cmp(&key(other)).then_with(|| self.headline.cmp(&other.headline))
    }
}
