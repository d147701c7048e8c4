//! What could not be checked, and why.

mod missing_fact;

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[&missing_fact::RULE];
