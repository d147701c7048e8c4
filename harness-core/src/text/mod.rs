//! Bytes of files to spanned trees.
//!
//! Owns files, byte spans, the line index, the interned texts and the YAML tree in which no scalar is resolved.
//! Knows nothing of harnesses: `document` gives the trees their meaning.

mod names;
mod span;

pub use names::{Name, Names};
pub use span::{FileId, SourceFile, Sources, Span};
