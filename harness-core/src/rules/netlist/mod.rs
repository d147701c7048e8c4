//! Whether everything that must be joined is joined, and nothing else.

mod unconnected_pin;

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[&unconnected_pin::RULE];
