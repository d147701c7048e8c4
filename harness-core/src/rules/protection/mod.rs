//! Whether a fuse protects each conductor.

mod fuse_over_conductor;
mod fuse_under_load;
mod missing_fuse;
mod unfused_length;

use super::Check;

/// The rules of the group, sorted by name.
pub(super) static CHECKS: &[&Check] =
    &[&fuse_over_conductor::RULE, &fuse_under_load::RULE, &missing_fuse::RULE, &unfused_length::RULE];
