//! Where a figure comes from, and how far it may be trusted.

use std::fmt;

/// How a figure came to be known.
///
/// Ordered from the strongest to the weakest, so that the larger of two is the one a result rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Status {
    /// The page that states the figure was read.
    Seen,
    /// A page that quotes the table was read, not the table itself.
    SecondHand,
    /// Arithmetic on figures of this module.
    Computed,
    /// A habit of the trade without a page behind it.
    Practice,
    /// Remembered; the page was not read.
    Memory,
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Seen => "seen",
            Self::SecondHand => "seen second hand",
            Self::Computed => "computed",
            Self::Practice => "common practice, no source",
            Self::Memory => "from memory, not seen",
        })
    }
}

/// The origin of a figure.
///
/// Printed as `ISO 6722-1, table of a maker's datasheet (seen)`.
#[derive(Debug, PartialEq, Eq)]
pub struct Source {
    /// Standard with clause or table; for a habit of the trade, what the habit is.
    pub standard: &'static str,
    /// Kind of page the figure was read on; empty if none was.
    pub page: &'static str,
    /// How the figure came to be known.
    pub status: Status,
}

impl Source {
    /// A figure read on a page.
    pub(super) const fn seen(standard: &'static str, page: &'static str) -> Self {
        Self { standard, page, status: Status::Seen }
    }

    /// A figure read where another page quotes the table.
    pub(super) const fn second_hand(standard: &'static str, page: &'static str) -> Self {
        Self { standard, page, status: Status::SecondHand }
    }

    /// A figure worked out from others of this module.
    pub(super) const fn computed(standard: &'static str, page: &'static str) -> Self {
        Self { standard, page, status: Status::Computed }
    }

    /// A habit of the trade.
    pub(super) const fn practice(habit: &'static str) -> Self {
        Self { standard: habit, page: "", status: Status::Practice }
    }

    /// A figure remembered from a standard.
    pub(super) const fn memory(standard: &'static str) -> Self {
        Self { standard, page: "", status: Status::Memory }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.standard)?;
        if !self.page.is_empty() {
            write!(f, ", {}", self.page)?;
        }
        write!(f, " ({})", self.status)
    }
}

/// A figure together with its origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sourced<T> {
    /// The figure.
    pub value: T,
    /// Where it comes from.
    pub source: &'static Source,
}

impl<T> Sourced<T> {
    /// Joins a figure to its origin.
    pub(super) const fn new(value: T, source: &'static Source) -> Self {
        Self { value, source }
    }

    /// The same origin for a figure derived from this one.
    pub fn map<U>(self, derive: impl FnOnce(T) -> U) -> Sourced<U> {
        Sourced { value: derive(self.value), source: self.source }
    }
}

impl<T: fmt::Display> fmt::Display for Sourced<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.value, self.source)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    static SEEN: Source = Source::seen("ISO 6722-1", "table of a maker's datasheet");
    static REMEMBERED: Source = Source::memory("ISO 8820-3");
    static HABIT: Source = Source::practice("diode drop");

    #[test]
    fn every_print_says_how_far_the_figure_may_be_trusted() {
        assert_eq!(SEEN.to_string(), "ISO 6722-1, table of a maker's datasheet (seen)");
        assert_eq!(REMEMBERED.to_string(), "ISO 8820-3 (from memory, not seen)");
        assert_eq!(Sourced::new(0.7, &HABIT).to_string(), "0.7; diode drop (common practice, no source)");
    }
}
