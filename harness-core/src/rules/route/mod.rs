//! Whether what runs along a route reaches, goes through its passages, takes its bends and its joints, and keeps apart what
//! backs each other up.

mod broken_route;
mod not_apart;
mod short_wire;
mod stiff_conductor;
mod tight_bend;
mod tight_passage;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] =
    &[&broken_route::RULE, &not_apart::RULE, &short_wire::RULE, &stiff_conductor::RULE, &tight_bend::RULE, &tight_passage::RULE];
