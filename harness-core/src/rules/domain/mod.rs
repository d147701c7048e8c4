//! Whether voltage domains keep apart, and what carries them is made for it.

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[];
