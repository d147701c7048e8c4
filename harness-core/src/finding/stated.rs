//! A finding as a rule states it: one fault at one primary place, with the figures it rests on and what to do.

use super::{Level, Remedy, Worse};
use crate::text::Span;
use std::fmt;

/// A place in the sources with a few words on what is there.
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

/// A figure of a headline with the direction in which it is worse.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weighed {
    /// The figure as the headline prints it, such as `1.61 A`; of a text with several, each.
    pub text: String,
    /// Where worse is.
    pub worse: Worse,
}

impl Weighed {
    /// A figure that is worse the larger it is: a current, an excess.
    #[must_use]
    pub fn larger(figure: impl fmt::Display) -> Self {
        Self { text: figure.to_string(), worse: Worse::Larger }
    }

    /// A figure that is worse the smaller it is: a size, a limit, a margin.
    #[must_use]
    pub fn smaller(figure: impl fmt::Display) -> Self {
        Self { text: figure.to_string(), worse: Worse::Smaller }
    }

    /// A figure that is worse the further it is from what it should be, above or below.
    #[must_use]
    pub fn off(figure: impl fmt::Display, is_above: bool) -> Self {
        if is_above { Self::larger(figure) } else { Self::smaller(figure) }
    }

    /// A figure that says which thing it is, and is worse neither way: the nominal voltage of a domain.
    #[must_use]
    pub fn neither(figure: impl fmt::Display) -> Self {
        Self { text: figure.to_string(), worse: Worse::Neither }
    }
}

/// One fault, one place, as a rule states it.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule, as `group/fault`.
    pub rule: &'static str,
    /// How severe the rule says it is; a run may raise it ([`Judged::level`](super::Judged::level)).
    pub stated: Level,
    /// One line that makes sense by itself: lower case, no full stop, ids in backticks.
    pub headline: String,
    /// The smallest span the builder would edit.
    pub primary: Label,
    /// The other parties, which may be in other files.
    pub labels: Vec<Label>,
    /// Where the fault travels, from cause to effect; empty where there is no path.
    pub path: Vec<String>,
    /// The figures the verdict rests on.
    pub figures: Vec<Figure>,
    /// What to do, in words that promise nothing of a certain change; empty only where the headline already says it.
    pub help: String,
    /// Changes of the text that may remove it, the best first; each is tried before anyone sees it.
    pub remedies: Vec<Remedy>,
    /// The figures of the headline with the direction in which each is worse, in the order of the headline.
    pub weighed: Vec<Weighed>,
    /// What the finding concerns, by stable names (`front.101`, `fusebox.F4`): with `rule` its identity.
    pub concerns: Vec<String>,
}

impl Finding {
    /// A finding of `rule` at `span`, as severe as `stated`.
    #[must_use]
    pub fn new(rule: &'static str, stated: Level, span: Span, headline: impl Into<String>) -> Self {
        Self {
            rule,
            stated,
            headline: headline.into(),
            primary: Label { span, text: String::new() },
            labels: Vec::new(),
            path: Vec::new(),
            figures: Vec::new(),
            help: String::new(),
            remedies: Vec::new(),
            weighed: Vec::new(),
            concerns: Vec::new(),
        }
    }

    /// Sets how severe it is, where that differs from the rule's page.
    #[must_use]
    pub fn at_level(mut self, level: Level) -> Self {
        self.stated = level;
        self
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

    /// Proposes a change of the text; the first one proposed is tried first.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<Option<Remedy>>) -> Self {
        self.remedies.extend(remedy.into().filter(|remedy| !remedy.edits.is_empty()));
        self
    }

    /// Adds a thing the finding concerns.
    #[must_use]
    pub fn concerns(mut self, name: impl Into<String>) -> Self {
        self.concerns.push(name.into());
        self
    }

    /// The rule and the names of what the finding concerns, sorted, in one line of text; findings about text alone are
    /// distinguished by their headline. The start of its fingerprint.
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
}
