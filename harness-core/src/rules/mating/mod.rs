//! Whether what is to be joined fits, once and only once.

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[];
