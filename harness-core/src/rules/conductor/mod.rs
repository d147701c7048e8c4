//! Whether each conductor carries its current and withstands its handling.

mod hot_zone;
mod odd_length;
mod overheated;
mod shared_return;
mod thin_for_handling;
mod thin_for_starter;
mod undersized;
mod uneven_parallel;
mod voltage_drop;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &hot_zone::RULE,
    &odd_length::RULE,
    &overheated::RULE,
    &shared_return::RULE,
    &thin_for_handling::RULE,
    &thin_for_starter::RULE,
    &undersized::RULE,
    &uneven_parallel::RULE,
    &voltage_drop::RULE,
];
