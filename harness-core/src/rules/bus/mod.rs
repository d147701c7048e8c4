//! Whether data buses can work: how they are terminated, what shape they have, and what their nodes have in common.

mod closed_ring;
mod ground_loop;
mod half_pair;
mod long_bus;
mod long_stub;
mod misplaced_terminator;
mod mixed_networks;
mod no_reference;
mod split_network;
mod untwisted_pair;
mod wrong_commander;
mod wrong_termination;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &closed_ring::RULE,
    &ground_loop::RULE,
    &half_pair::RULE,
    &long_bus::RULE,
    &long_stub::RULE,
    &misplaced_terminator::RULE,
    &mixed_networks::RULE,
    &no_reference::RULE,
    &split_network::RULE,
    &untwisted_pair::RULE,
    &wrong_commander::RULE,
    &wrong_termination::RULE,
];
