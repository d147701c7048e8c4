//! Batteries: strings of modules, what measures them, and what they lose while the vehicle is parked.

mod low_charger;
mod module_order;
mod shared_tap;
mod standing_drain;
mod string_voltage;
mod tap_order;
mod unequal_strings;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &low_charger::RULE,
    &module_order::RULE,
    &shared_tap::RULE,
    &standing_drain::RULE,
    &string_voltage::RULE,
    &tap_order::RULE,
    &unequal_strings::RULE,
];
