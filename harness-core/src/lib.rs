//! Checks wiring-harness netlists.
//!
//! A [`Design`] is loaded once: files are read, names resolved, and the network of who is joined to whom is built. Its
//! [`Analysis`] says what flows in every operating state, and owns it. A [`Checker`] runs the rules over an analysis and gives a
//! [`Report`]; [`inspect`] shows the figures of one thing, of all conductors and fuses, of one fuse's picture; `diff` compares two
//! analysed designs by what they mean; a [`Baseline`] knows the findings of yesterday. Bad input is data, not an error: one misspelt
//! name hides no short circuit.
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

mod analysis;
mod arena;
pub mod bench;
mod causes;
mod check;
mod circuit;
mod date;
mod design;
pub mod editor;
mod electrical;
mod evidence;
mod facts;
mod files;
pub mod finding;
mod format;
pub mod inspect;
mod model;
mod network;
pub mod quantity;
mod report;
mod review;
mod rules;
mod standards;
mod suggest;
mod text;
mod threads;
pub mod views;
mod vocabulary;
mod wording;

#[cfg(feature = "diff")]
pub mod diff;
#[cfg(feature = "diff")]
mod tidy;

pub use analysis::{Analysis, Modes, UnknownMode};
pub use check::{Applied, Checker, Written, apply, check};
pub use date::Date;
pub use design::Design;
pub use files::{FileError, Files, MemoryFiles};
#[cfg(feature = "schema")]
pub use format::schema;
pub use format::{Document, Head, ListRow, Origins, Trees, head, reference};
pub use report::{Cause, Compared, Coverage, Covered, HotConductor, ModeSummary, Report, Summary, Unjudged};
pub use review::baseline::{self, Baseline};
pub use rules::pages as rule_pages;
#[cfg(feature = "diff")]
pub use tidy::{Outcome, tidy};

/// The values of published tables, of practice and from memory that verdicts may rest on.
pub mod values {
    pub use crate::standards::{Source, Status, Value, values as all};
}

/// The colours of conductors by the letters of IEC 60757.
pub mod colours {
    pub use crate::standards::colour::{Colour, WireColour};
}

/// The files of a design as they were read, and places in them.
pub mod source {
    pub use crate::text::{FileId, MAX_BYTES, Position, PositionRange, SourceFile, Sources, Span};
}

/// The rooms behind the facade, for the program, the tests and the benches of this project. **Nothing in here is promised to stay.**
#[doc(hidden)]
pub mod internals {
    macro_rules! rooms {
        ($($room:ident)+) => {$(
            pub mod $room {
                pub use crate::$room::*;
            }
        )+};
    }

    rooms! { arena circuit electrical facts format model network review rules standards suggest text threads vocabulary wording }
}

/// The example of the crate's own page runs with the others.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
