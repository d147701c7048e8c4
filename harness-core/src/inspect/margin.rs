//! Margins: how far a figure stays from its limit.

use crate::{quantity::Unit, standards::Source};
use std::fmt;

/// What a margin is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Against {
    /// The continuous current that the thing may carry over the one that it carries.
    Load,
    /// The capacity of the conductor over the rating of the fuse before it.
    Rating,
    /// The time that the conductor withstands its worst short over the time that it flows.
    Short,
    /// The breaking capacity of the fuse over the largest current that it may have to break.
    Breaking,
    /// The volts that may be lost on the way to a load and back over those that are.
    Drop,
}

impl Against {
    /// The margin in a word: `load`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Load => "load",
            Self::Rating => "rating",
            Self::Short => "short",
            Self::Breaking => "breaking",
            Self::Drop => "drop",
        }
    }
}

/// A figure, its limit, and how often the one goes into the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Margin {
    /// What it is held against.
    pub against: Against,
    /// The figure in words: `4 A in mode `drive``.
    pub figure: String,
    /// The limit in words: `11.2 A, capacity`.
    pub limit: String,
    /// Limit over figure: 1 at the limit, below 1 beyond it.
    pub ratio: f64,
    /// Where the limit comes from, the chain in its order.
    pub sources: Vec<&'static Source>,
}

impl Margin {
    /// The margin between two quantities of one kind; `None` where the figure is zero and anything is enough.
    pub(super) fn between<U: Unit>(against: Against, figure: U, limit: U) -> Option<Self> {
        let ratio = limit.get() / figure.get();
        ratio.is_finite().then(|| Self {
            against,
            figure: figure.to_string(),
            limit: limit.to_string(),
            ratio,
            sources: Vec::new(),
        })
    }

    /// Adds words behind the figure and the limit.
    pub(super) fn said(mut self, figure: impl fmt::Display, limit: impl fmt::Display) -> Self {
        self.figure = format!("{} {figure}", self.figure).trim_end().to_owned();
        self.limit = format!("{} {limit}", self.limit).trim_end().to_owned();
        self
    }

    /// Adds the sources of the limit.
    pub(super) fn from(mut self, sources: impl IntoIterator<Item = &'static Source>) -> Self {
        for source in sources {
            if !self.sources.contains(&source) {
                self.sources.push(source);
            }
        }
        self
    }

    /// Whether the figure is within its limit; equal values are.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.ratio >= 1.0
    }
}

/// The smallest of `margins`, which decides; of equal ones the first.
pub(super) fn least(margins: &[Margin]) -> Option<&Margin> {
    margins.iter().reduce(|least, other| if other.ratio < least.ratio { other } else { least })
}
