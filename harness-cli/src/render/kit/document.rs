//! A whole document of JSON.

use serde::Serialize;
use std::io::{self, Write};

/// Writes `value` as JSON that people can read, with an end of line.
///
/// # Errors
/// If `out` can't be written.
pub(crate) fn document(value: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, value)?;
    writeln!(out)
}
