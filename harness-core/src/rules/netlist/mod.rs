//! Whether everything that must be joined is joined, and nothing else.

mod always_enabled;
mod back_feed;
mod borrowed_neutral;
mod bypassed_part;
mod closed_together;
mod crowded_cavity;
mod cut_off_source;
mod dangling_wire;
mod fed_at_output;
mod feeds_itself;
mod floating_input;
mod held_relay;
mod misnumbered_plug;
mod no_return;
mod no_source;
mod no_steady_state;
mod odd_name;
mod opened_neutral;
mod parallel_mains;
mod reused_core;
mod reversed_polarity;
mod reversed_source;
mod role_conflict;
mod shared_sensor_return;
mod signal_mismatch;
mod sneak_short;
mod source_overload;
mod stuck_input;
mod swapped_converter;
mod swapped_earth;
mod swapped_mains;
mod swapped_phases;
mod unconnected_pin;
mod unsuppressed_coil;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &always_enabled::RULE,
    &back_feed::RULE,
    &borrowed_neutral::RULE,
    &bypassed_part::RULE,
    &closed_together::RULE,
    &crowded_cavity::RULE,
    &cut_off_source::RULE,
    &dangling_wire::RULE,
    &fed_at_output::RULE,
    &feeds_itself::RULE,
    &floating_input::RULE,
    &held_relay::RULE,
    &misnumbered_plug::RULE,
    &no_return::RULE,
    &no_source::RULE,
    &no_steady_state::RULE,
    &odd_name::RULE,
    &opened_neutral::RULE,
    &parallel_mains::RULE,
    &reused_core::RULE,
    &reversed_polarity::RULE,
    &reversed_source::RULE,
    &role_conflict::RULE,
    &shared_sensor_return::RULE,
    &signal_mismatch::RULE,
    &sneak_short::RULE,
    &source_overload::RULE,
    &stuck_input::RULE,
    &swapped_converter::RULE,
    &swapped_earth::RULE,
    &swapped_mains::RULE,
    &swapped_phases::RULE,
    &unconnected_pin::RULE,
    &unsuppressed_coil::RULE,
];
