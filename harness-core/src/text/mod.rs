//! Bytes of files to spanned trees.
//!
//! Owns files, byte spans, the line index, the interned texts and the YAML tree in which no scalar is resolved.
//! Knows nothing of harnesses: `document` gives the trees their meaning.

mod build;
mod decode;
mod events;
mod explain;
mod gotchas;
mod intern;
mod keys;
pub mod letters;
mod lines;
mod parse;
mod problem;
mod resume;
mod span;
mod tree;

#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;

pub use decode::{Decoded, MAX_BYTES, decode};
pub use intern::{Name, Names};
pub use parse::{MAX_FAULTS, Parsed, parse};
pub use problem::{Problem, ProblemKind};
pub use span::{At, FileId, Position, PositionRange, SourceFile, Sources, Span, Text};
pub use tree::{Kind, NodeId, Tree};
