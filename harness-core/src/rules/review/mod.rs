//! What could not be checked, and why.

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[];
