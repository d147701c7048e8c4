//! Charging inlets: their contacts, pilot and proximity circuit, earth, lock, DC contacts, and whether the vehicle stays where it is.

mod defeated_stop;
mod drives_on_charge;
mod earth;
mod live_inlet;
mod mating_order;
mod pilot;
mod proximity;
mod two_monitors;
mod unlocked;
mod wrong_contacts;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &defeated_stop::RULE,
    &drives_on_charge::RULE,
    &earth::RULE,
    &live_inlet::RULE,
    &mating_order::RULE,
    &pilot::RULE,
    &proximity::RULE,
    &two_monitors::RULE,
    &unlocked::RULE,
    &wrong_contacts::RULE,
];
