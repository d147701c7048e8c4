//! Whether the screens of cables screen: connected, through, grounded as often as they should be, and without current.

mod both_ends;
mod in_circuit;
mod interrupted;
mod one_end;
mod unconnected;

use super::Rule;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] =
    &[&both_ends::RULE, &in_circuit::RULE, &interrupted::RULE, &one_end::RULE, &unconnected::RULE];
