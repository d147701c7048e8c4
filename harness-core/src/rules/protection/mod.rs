//! Whether a fuse protects each conductor.

mod before_residual_device;
mod breaking_capacity;
mod fuse_over_conductor;
mod fuse_under_load;
mod missing_fuse;
mod peak_opens_fuse;
mod selectivity;
mod shared_fuse;
mod uncleared_fault;
mod unfused_length;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &before_residual_device::RULE,
    &breaking_capacity::RULE,
    &fuse_over_conductor::RULE,
    &fuse_under_load::RULE,
    &missing_fuse::RULE,
    &peak_opens_fuse::RULE,
    &selectivity::RULE,
    &shared_fuse::RULE,
    &uncleared_fault::RULE,
    &unfused_length::RULE,
];
