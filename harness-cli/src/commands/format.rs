//! `harness format`: the format reference, from the definition that reads netlists.

use crate::{exit, failure::Failure};
use std::io::Write;

/// Prints the format reference in Markdown.
///
/// # Errors
/// If `out` can't be written.
pub fn run(out: &mut dyn Write) -> Result<u8, Failure> {
    out.write_all(harness_core::reference().as_bytes())?;
    out.flush()?;
    Ok(exit::CLEAN)
}
