//! Whether class B is switched on and off as it must be: precharge and discharge, contactors that open, and the loop that opens when a connector
//! does.

mod bypass;
mod ground_side;
mod high_resistance;
mod loop_misses;
mod loop_open;
mod no_discharge;
mod no_effect;
mod no_precharge;
mod one_pole;
mod overloaded_precharge;
mod past_disconnect;
mod slow_precharge;
mod stays_closed;
mod wrong_economiser;
mod wrong_order;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &bypass::RULE,
    &ground_side::RULE,
    &high_resistance::RULE,
    &loop_misses::RULE,
    &loop_open::RULE,
    &no_discharge::RULE,
    &no_effect::RULE,
    &no_precharge::RULE,
    &one_pole::RULE,
    &overloaded_precharge::RULE,
    &past_disconnect::RULE,
    &slow_precharge::RULE,
    &stays_closed::RULE,
    &wrong_economiser::RULE,
    &wrong_order::RULE,
];
