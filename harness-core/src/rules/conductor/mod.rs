//! Whether each conductor carries its current and stands its handling.

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[];
