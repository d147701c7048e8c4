//! Whether each conductor carries its current and stands its handling.

mod overheated;
mod thin_for_handling;
mod undersized;
mod voltage_drop;

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] = &[&overheated::RULE, &thin_for_handling::RULE, &undersized::RULE, &voltage_drop::RULE];
