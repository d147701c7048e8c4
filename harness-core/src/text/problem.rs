//! What can be said against a file before anyone knows what it is about.

use super::Span;

/// What kind of fault the text of a file has. Which rule reports it is decided where rules are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProblemKind {
    /// The text breaks the grammar of YAML.
    Syntax,
    /// Bytes that are not UTF-8, another encoding, or a NUL.
    Encoding,
    /// A tab where YAML takes only spaces.
    Tab,
    /// The same key twice in one map.
    RepeatedKey,
    /// More than one document in the file.
    ExtraDocument,
    /// A value that YAML takes for a comment: `colour: #FF0000`.
    CommentForValue,
    /// A colon without a space after it: `{from:P1.1}`.
    UnspacedColon,
    /// A file without content.
    EmptyFile,
    /// A limit of the reader was met.
    Limit,
    /// An alias or merge key that can't be resolved.
    Alias,
    /// A type tag such as `!text`, which the format does not use.
    Tag,
    /// A list, a map or nothing where a key belongs.
    ComplexKey,
}

/// One fault of a file's text, at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// What kind of fault.
    pub kind: ProblemKind,
    /// The smallest place to edit.
    pub span: Span,
    /// One line that makes sense by itself.
    pub headline: String,
    /// What to see at the place; may be empty.
    pub label: String,
    /// What to do.
    pub help: String,
    /// The other party, if there is one.
    pub context: Option<(Span, String)>,
}

impl Problem {
    /// A problem of `kind` at `span`.
    #[must_use]
    pub fn new(kind: ProblemKind, span: Span, headline: impl Into<String>) -> Self {
        Self { kind, span, headline: headline.into(), label: String::new(), help: String::new(), context: None }
    }

    /// Sets the words at the place.
    #[must_use]
    pub fn label(mut self, text: impl Into<String>) -> Self {
        self.label = text.into();
        self
    }

    /// Sets what to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = text.into();
        self
    }

    /// Sets the other party.
    #[must_use]
    pub fn context(mut self, span: Span, text: impl Into<String>) -> Self {
        self.context = Some((span, text.into()));
        self
    }
}

/// A text as it may be written in a headline: one line, not endless.
pub(super) fn shown(text: &str) -> String {
    let line = text.lines().next().unwrap_or("");
    let mut shown: String = line.chars().take(60).filter(|letter| !letter.is_control()).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    shown
}
