//! What is under a place of the text: what an editor asks while a design is written.
//!
//! Owns an index of the names of a design by their places ([`Index`]), what may be written at a place ([`proposals`]), names that are
//! changed everywhere ([`rename`]), and the outline of a file. It reads the trees of the files by the shape of the format, not the
//! model: a half-typed line costs that line, and whatever else can be read is known. Where figures or positions of housings are
//! asked for, it asks the design. Knows no protocol, opens no file, counts in bytes.

mod cursor;
mod expected;
mod index;
mod labels;
mod lines;
mod opposite;
mod outline;
mod proposal;
mod proposals;
mod refer;
mod rename;
mod symbols;
mod token;
mod values;
mod walk;
mod words;

pub use crate::format::Kind;
pub use cursor::{Level, Place, Side};
pub use expected::{Expected, expected};
pub use index::Index;
pub use opposite::{opposites, thing};
pub use outline::{Fold, Outline, folds, outline};
pub use proposal::{Proposal, ProposalKind};
pub use proposals::{Proposals, proposals};
pub use rename::{Refused, nameable, rename};
pub use symbols::{Sort, SymbolId};
pub use token::Token;
pub use words::place;

use crate::{
    files::{FileError, Files, MemoryFiles},
    finding::Finding,
    format::{Document, Trees, rules},
    text::Sources,
};
use std::sync::Arc;

/// The names of the files that a design reads, its own first.
#[must_use]
pub fn files_of(files: &dyn Files, root: &str) -> Vec<String> {
    Trees::read(files, root).sources().files().map(|(_, file)| file.name().to_owned()).collect()
}

/// Reads one file that no design includes: its mistakes of reading, but for what another file of a design may give: a key that
/// is required, a name that something bears.
///
/// The file is read as one that a design includes, so that neither `format` nor `design` is missed in it. The file is the second of the
/// sources.
#[must_use]
pub fn read_alone(files: &dyn Files, name: &str) -> (Arc<Sources>, Vec<Finding>) {
    const ROOT: &str = "\u{1}";
    // What other files of a design may give: the rest of a thing, and the thing that facts are of.
    const ELSEWHERE: [&str; 2] = [rules::MISSING_KEY.name, rules::ASTRAY_NAME.name];
    struct Alone<'f>(&'f dyn Files, MemoryFiles, &'f str);
    impl Files for Alone<'_> {
        fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
            if name == ROOT {
                self.1.read(name)
            } else if name == self.2 {
                self.0.read(name)
            } else {
                Ok(Vec::new())
            }
        }
    }
    let quoted = name.replace('\\', "\\\\").replace('"', "\\\"");
    let root = MemoryFiles::one(ROOT, format!("format: 1\ndesign: one file\ninclude: [\"{quoted}\"]\n"));
    let Document { sources, findings, .. } = Document::read(&Alone(files, root, name), ROOT);
    let own = sources.files().find(|(_, file)| file.name() == name).map(|(id, _)| id);
    let is_own = |finding: &Finding| Some(finding.primary.span.file) == own && !ELSEWHERE.contains(&finding.rule);
    let findings = findings.into_iter().filter(is_own).collect();
    (Arc::new(sources), findings)
}
