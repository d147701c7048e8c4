//! What a file is, by the keys at its top: a design, a part of one, or something else.

use super::{Design, reader::Record};
use crate::text::{self, Kind, Names, Sources};

/// What a file is to a reader of netlists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Head {
    /// A design: it has the key `design` at its top.
    Design,
    /// A part that a design may include: most of its keys are those of a netlist.
    Part,
    /// Neither.
    Other,
}

/// What the file with these bytes is. Cost: that of reading its text, without what it includes.
///
/// # Example
/// ```
/// use harness_core::{Head, head};
///
/// assert_eq!(head(b"format: 1\ndesign: Orchard lift\n"), Head::Design);
/// assert_eq!(head(b"zones: { grill: { wet: true } }\n"), Head::Part);
/// assert_eq!(head(b"Wire,From,To\n1,P1.1,P2.1\n"), Head::Other);
/// ```
#[must_use]
pub fn head(bytes: &[u8]) -> Head {
    let (mut sources, mut names) = (Sources::default(), Names::default());
    let Some(decoded) = text::decode(&mut sources, String::new(), bytes.to_vec()) else { return Head::Other };
    let parsed = text::parse(&sources, decoded.file, &mut names);
    let Some(root) = parsed.root.filter(|root| matches!(parsed.tree.kind(*root), Kind::Map)) else { return Head::Other };
    let written: Vec<&str> =
        parsed.tree.entries(root).filter_map(|(key, _)| parsed.tree.text(key)).map(|name| names.text(name)).collect();
    if written.contains(&"design") {
        return Head::Design;
    }
    let known = |key: &&&str| Design::SHAPE.fields.iter().any(|field| field.key.word() == **key);
    let known = written.iter().filter(known).count();
    if known > 0 && known * 2 >= written.len() { Head::Part } else { Head::Other }
}
