//! What can be said against a file before anyone knows what it is about.

use super::Span;

/// What kind of fault the text of a file has; each is a rule of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProblemKind {
    /// The text breaks the grammar of YAML.
    Syntax,
    /// Bytes that are no UTF-8, another encoding, or a NUL.
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

impl ProblemKind {
    /// All kinds, in the order of the catalogue.
    pub const ALL: [Self; 12] = [
        Self::Syntax,
        Self::Encoding,
        Self::Tab,
        Self::RepeatedKey,
        Self::ExtraDocument,
        Self::CommentForValue,
        Self::UnspacedColon,
        Self::EmptyFile,
        Self::Limit,
        Self::Alias,
        Self::Tag,
        Self::ComplexKey,
    ];

    /// The rule under which the kind is reported.
    #[must_use]
    pub fn rule(self) -> &'static str {
        match self {
            Self::Syntax => "format/syntax",
            Self::Encoding => "format/encoding",
            Self::Tab => "format/tab",
            Self::RepeatedKey => "format/repeated-key",
            Self::ExtraDocument => "format/extra-document",
            Self::CommentForValue => "format/comment-for-value",
            Self::UnspacedColon => "format/unspaced-colon",
            Self::EmptyFile => "format/empty-file",
            Self::Limit => "format/limit",
            Self::Alias => "format/alias",
            Self::Tag => "format/tag",
            Self::ComplexKey => "format/complex-key",
        }
    }
}

/// One fault of a file's text, at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// What kind of fault.
    pub kind: ProblemKind,
    /// The smallest place to edit.
    pub span: Span,
    /// One line that stands alone.
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
