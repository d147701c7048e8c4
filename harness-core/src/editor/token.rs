//! Where the name of a thing is.

use super::symbols::SymbolId;
use crate::text::Span;

/// A place that bears the name of a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Token {
    /// The name, without what is before or behind it in a dotted text.
    pub span: Span,
    /// The thing.
    pub symbol: SymbolId,
    /// Whether the thing is defined here.
    pub defines: bool,
    /// Whether what is written there is the name itself, not an escape of it.
    pub is_verbatim: bool,
}
