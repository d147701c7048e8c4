//! Whether voltage domains keep apart, and what carries them is made for it.

mod chained_bond;
mod chassis_tied;
mod crossing;
mod live_when_open;
mod loaded_earth;
mod missing_bond;
mod mixed_bundle;
mod odd_domain;
mod off_chassis;
mod over_voltage;
mod shared_housing;
mod shared_route;
mod thin_bonding;
mod unbonded_neutral;
mod under_rated_insulation;
mod weak_isolation;
mod wrong_colour;
mod wrong_voltage;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &chained_bond::RULE,
    &chassis_tied::RULE,
    &crossing::RULE,
    &live_when_open::RULE,
    &loaded_earth::RULE,
    &missing_bond::RULE,
    &mixed_bundle::RULE,
    &odd_domain::RULE,
    &off_chassis::RULE,
    &over_voltage::RULE,
    &shared_housing::RULE,
    &shared_route::RULE,
    &thin_bonding::RULE,
    &unbonded_neutral::RULE,
    &under_rated_insulation::RULE,
    &weak_isolation::RULE,
    &wrong_colour::RULE,
    &wrong_voltage::RULE,
];
