//! Whether class B is switched on and off as it must be: precharge, and the loop that opens when a connector does.

mod loop_misses;
mod no_precharge;
mod past_disconnect;
mod slow_precharge;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[&loop_misses::RULE, &no_precharge::RULE, &past_disconnect::RULE, &slow_precharge::RULE];
