//! The commands, one file each.

pub mod check;
pub mod explain;
pub mod format;
pub mod rules;
pub mod schema;

use crate::{failure::Failure, show::printable};
use std::io::Write;

/// Says on standard error why something could not be done.
pub(crate) fn complain(err: &mut dyn Write, failure: &Failure) {
    // If standard error can't be written either, the exit code has to speak.
    let _ = writeln!(err, "error: failed to {}", printable(&failure.to_string())).and_then(|()| err.flush());
}
