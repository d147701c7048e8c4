//! What several outputs share: words, tables, lines of a source, styles, what may be printed.

pub(crate) mod blocks;
pub(crate) mod book;
pub mod caution;
pub(crate) mod comment;
mod document;
pub(crate) mod excerpt;
pub mod figures;
pub(crate) mod html;
mod line;
pub(crate) mod markup;
pub mod page;
pub mod palette;
pub mod paper;
pub(crate) mod sheet;
pub mod table;
pub(crate) mod words;
mod wrap;
pub(crate) mod xml;

pub(crate) use document::document;
pub(crate) use harness_draw::{commandless, printable};
pub(crate) use wrap::{glued, unglued, wrap};
