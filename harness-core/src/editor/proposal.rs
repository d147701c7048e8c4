//! Something that may be written at a place, as an editor shows it.

/// What a proposal is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProposalKind {
    /// A key of the format.
    Key,
    /// A word of the format.
    Word,
    /// A number with its unit.
    Unit,
    /// The name of a thing.
    Name,
    /// A cavity, pin or core.
    Label,
    /// A rule.
    Rule,
}

/// Something that may be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// What it is.
    pub kind: ProposalKind,
    /// What is shown, and what is typed to find it.
    pub label: String,
    /// What is written.
    pub text: String,
    /// A few words beside it.
    pub detail: String,
    /// A sentence on it.
    pub doc: String,
    /// Those of a lower rank come first.
    pub rank: u8,
}

impl Proposal {
    pub(super) fn new(kind: ProposalKind, label: impl Into<String>) -> Self {
        let label = label.into();
        Self { kind, text: label.clone(), label, detail: String::new(), doc: String::new(), rank: 1 }
    }

    /// A file that may be included.
    #[must_use]
    pub fn file(name: &str) -> Self {
        let proposal = Self::new(ProposalKind::Name, name).detail("file");
        if needs_quotes(name) { Self { text: quoted(name), ..proposal } } else { proposal }
    }

    pub(super) fn detail(mut self, detail: impl Into<String>) -> Self {
        self.detail = detail.into();
        self
    }

    pub(super) fn doc(mut self, doc: impl Into<String>) -> Self {
        self.doc = doc.into();
        self
    }

    pub(super) fn rank(mut self, rank: u8) -> Self {
        self.rank = rank;
        self
    }

    /// The same with a text before it.
    pub(super) fn behind(mut self, before: &str) -> Self {
        (self.label, self.text) = (format!("{before}{}", self.label), format!("{before}{}", self.text));
        self
    }
}

/// Whether a text must be written in quotes to stay what it is.
pub(super) fn needs_quotes(text: &str) -> bool {
    let first = |letter: char| "-?:,[]{}#&*!|>'\"%@` ".contains(letter);
    let is_plain_dash = text.starts_with('-') && text.chars().nth(1).is_some_and(|letter| !letter.is_whitespace());
    text.is_empty()
        || (text.starts_with(first) && !is_plain_dash)
        || text.ends_with([' ', ':'])
        || text.contains([',', '[', ']', '{', '}', '\n', '\t'])
        || text.contains(": ")
        || text.contains(" #")
}

pub(super) fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
