//! What an import did, for people and for machines.

mod json;
mod text;

#[cfg(test)]
pub(crate) use json::Report as JsonReport;
pub use json::json;
pub use text::text;

use harness_core::Report;
use harness_import::{Imported, asks::Ask};

/// An import that was made.
#[derive(Debug)]
pub struct Made {
    /// What was made of the lists.
    pub made: Imported,
    /// What had to be assumed about a file: its name and a sentence.
    pub remarks: Vec<(String, String)>,
    /// Files that were written, within the folder.
    pub written: Vec<String>,
    /// Files of people that were left alone.
    pub kept: Vec<String>,
    /// What else is to be said.
    pub said: Vec<String>,
    /// The folder.
    pub out: String,
    /// What changed since the last import; none if this is the first.
    pub changes: Option<Vec<String>>,
    /// The facts that most checks wait for.
    pub asks: Vec<Ask>,
    /// What a check of the design finds.
    pub report: Report,
}
