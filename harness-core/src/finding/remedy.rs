//! A step that removes a finding, as a change of the text: what a rule proposes, and what came of trying it.

use crate::text::Span;

/// A place in the text and what is to be written there instead; an empty place is an insertion.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edit {
    /// What is replaced.
    pub span: Span,
    /// The new text.
    pub text: String,
}

/// What a remedy changes. It decides whether a program may write it without asking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RemedyKind {
    /// A misspelt name, key or word.
    Spelling,
    /// The colour of a conductor.
    Colour,
    /// Wires that trade places, or ends that trade partners.
    Swap,
    /// A wire to another cavity, point or splice.
    Move,
    /// The size of a conductor.
    Size,
    /// The kind of a fuse.
    Fuse,
    /// The part that is used: a housing, a terminal, a conductor kind or its colour where that is not certain.
    Part,
    /// The core of a cable that a wire uses.
    Core,
    /// A conductor, a splice or a stud that has to be added.
    Addition,
    /// What an end mates.
    Mating,
    /// What the design says of a thing, such as the direction of a diode or the text of a waiver.
    Record,
}

impl RemedyKind {
    /// Its name in outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Spelling => "spelling",
            Self::Colour => "colour",
            Self::Swap => "swap",
            Self::Move => "move",
            Self::Size => "size",
            Self::Fuse => "fuse",
            Self::Part => "part",
            Self::Core => "core",
            Self::Addition => "addition",
            Self::Mating => "mating",
            Self::Record => "record",
        }
    }

    /// Whether it corrects what was written by mistake and buys or decides nothing: `harness check --apply` writes these.
    #[must_use]
    pub fn is_safe(self) -> bool {
        matches!(self, Self::Spelling | Self::Colour | Self::Swap)
    }
}

/// A step that may remove a finding. A rule proposes it; until it was tried it is a candidate and shown to nobody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remedy {
    /// What it changes.
    pub kind: RemedyKind,
    /// The step in words: an imperative, lower case, no full stop.
    pub words: String,
    /// The same as changes of the text; at least one, no two of the same bytes.
    pub edits: Vec<Edit>,
    /// Another step would do as well, and nothing says which one is meant: people choose, no program.
    pub is_one_of_several: bool,
    /// It may be what was meant: it is tried as the cause of several findings, and never offered for one alone.
    pub is_guess: bool,
}

impl Remedy {
    /// A step in words, still without an edit.
    #[must_use]
    pub fn new(kind: RemedyKind, words: impl Into<String>) -> Self {
        Self { kind, words: words.into(), edits: Vec::new(), is_one_of_several: false, is_guess: false }
    }

    /// The same as one of several steps that would do.
    #[must_use]
    pub fn one_of_several(mut self) -> Self {
        self.is_one_of_several = true;
        self
    }

    /// The same as a guess, which people decide on.
    #[must_use]
    pub fn guess(mut self) -> Self {
        (self.is_one_of_several, self.is_guess) = (true, true);
        self
    }

    /// Adds the replacement of what is at `span`.
    #[must_use]
    pub fn edit(mut self, span: Span, text: impl Into<String>) -> Self {
        self.edits.push(Edit { span, text: text.into() });
        self
    }
}

/// A remedy with what came of trying it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// The step.
    pub remedy: Remedy,
    /// Whether it was made in memory and the design checked again: the finding was gone, and no other at or above a warning had
    /// come or become more severe. `false` where the limit of trials was reached before; it promises nothing then.
    pub tried: bool,
    /// Findings from a warning up about the same things that it leaves as they were; none where it was not tried.
    pub others: usize,
}

impl Offer {
    /// Whether a program may write it without asking: never one of several steps of which each would do, and a colour only where nothing else is found about the same things: a red wire on
    /// class B can have the wrong colour or be in the wrong place.
    #[must_use]
    pub fn is_safe(&self) -> bool {
        let is_certain = self.others == 0 || self.remedy.kind != RemedyKind::Colour;
        self.tried && is_certain && self.remedy.kind.is_safe() && !self.remedy.is_one_of_several
    }
}
