//! The exit codes, in one place.

/// Nothing was found at or above the fail level (`--fail-on`).
pub const CLEAN: u8 = 0;

/// Something was found at or above the fail level.
pub const FINDINGS: u8 = 1;

/// The job could not be done: the arguments, a file that can't be read, a mode or rule that does not exist.
/// Outranks [`FINDINGS`], because what was not read may hold worse.
pub const FAILED: u8 = 2;
