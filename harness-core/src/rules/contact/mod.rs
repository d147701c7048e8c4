//! Whether contacts, terminals and seals suit what they hold.

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[];
