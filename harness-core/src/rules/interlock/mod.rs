//! Whether class B is switched on and off as it must be: precharge and discharge, and the loop that opens when a connector does.

mod bypass;
mod ground_side;
mod loop_misses;
mod loop_open;
mod no_discharge;
mod no_effect;
mod no_precharge;
mod past_disconnect;
mod slow_precharge;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &bypass::RULE,
    &ground_side::RULE,
    &loop_misses::RULE,
    &loop_open::RULE,
    &no_discharge::RULE,
    &no_effect::RULE,
    &no_precharge::RULE,
    &past_disconnect::RULE,
    &slow_precharge::RULE,
];
