//! What several contacts are to each other: positions of one selector, never closed together, poles of one residual-current device.

use super::{
    ids::{ElementId, ModeSet, SelectorId},
    owner::Owner,
};
use crate::text::{Name, Span};

/// A contact of a selector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Throw {
    /// The selector.
    pub selector: SelectorId,
    /// The positions in which it is closed, by their numbers: bit 0 is the first.
    pub positions: u64,
}

impl Throw {
    /// Whether one position closes both contacts; those of two selectors don't depend on each other.
    #[must_use]
    pub fn may_close_with(self, other: Self) -> bool {
        self.selector != other.selector || self.positions & other.positions != 0
    }
}

/// A selector: a switch of several positions, of which each contact is an element.
#[derive(Debug, Clone)]
pub struct Selector {
    /// Its name.
    pub name: Name,
    /// Where its name is written.
    pub span: Span,
    /// What holds it.
    pub owner: Owner,
    /// Modes in which nothing says in which position it is.
    pub unstated: ModeSet,
}

/// Elements that are never closed together.
#[derive(Debug, Clone)]
pub struct Exclusive {
    /// The elements with the places where they are named; at least two.
    pub elements: Vec<(ElementId, Span)>,
}

/// The poles of a residual-current device.
#[derive(Debug, Clone)]
pub struct Residual {
    /// The elements with the places where they are named; at least two.
    pub poles: Vec<(ElementId, Span)>,
}
