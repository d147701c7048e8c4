//! Checks wiring-harness netlists.
//!
//! A netlist goes one way through the library: `text` (bytes to spanned trees), `document` (the format as records),
//! `model` (names resolved), `network` (who is joined to whom), `electrical` (what flows, in every mode), `rules` (what
//! is at fault), `review` (what was accepted), and out as a [`Report`]. Two revisions are compared by what they mean in
//! `diff`. Bad input is data, not an error: one misspelt name hides no short circuit.
//!
//! The library reads files only through [`Files`], prints nothing, never exits and never panics, on any input. It does
//! not draw, and it does not judge whether a vehicle is safe: a clean report says that these checks found nothing.
//!
//! ```
//! use harness_core::{Checker, MemoryFiles, check};
//!
//! let netlist = "format: 1\ndesign: Orchard lift\ndevices:\n  horn: { zone: gril }\nzones:\n  grill: { wet: true }\n";
//! let report = check(&MemoryFiles::one("lift.yaml", netlist), "lift.yaml", &Checker::new());
//! let finding = &report.findings[0];
//! assert_eq!(finding.rule, "format/unknown-name");
//! assert_eq!(report.sources.place(finding.primary.span), "lift.yaml:4:17");
//! ```

pub mod text;
// The modules stand in the order in which a netlist goes through them.
pub mod analysis;
#[cfg(feature = "diff")]
pub mod diff;
mod evidence;
pub mod facts;
pub mod format;
pub mod inspect;

pub mod circuit;
pub mod electrical;
pub mod model;
pub mod network;
pub mod quantity;
pub mod review;
pub mod rules;
pub mod standards;
pub mod vocabulary;

pub mod arena;
mod check;
pub mod date;
pub mod design;
pub mod files;
pub mod finding;
pub mod report;
pub mod suggest;
pub mod wording;

pub use analysis::{Analysis, Modes, UnknownMode};
pub use check::{Checker, check};
pub use design::Design;
pub use files::{FileError, Files, MemoryFiles};
pub use format::{Document, reference};
#[cfg(feature = "schema")]
pub use format::schema;
pub use report::{Compared, HotConductor, ModeSummary, Report, Summary};

/// The example of the crate's own page runs with the others.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
