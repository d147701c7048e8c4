//! Whether what runs along a route reaches, goes through its passages, and takes its bends and its joints.

mod broken_route;
mod short_wire;
mod stiff_conductor;
mod tight_bend;
mod tight_passage;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] =
    &[&broken_route::RULE, &short_wire::RULE, &stiff_conductor::RULE, &tight_bend::RULE, &tight_passage::RULE];
