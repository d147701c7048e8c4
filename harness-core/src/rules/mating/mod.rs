//! Whether what is to be joined fits, once and only once.

use super::Rule;

mod contact_mismatch;
mod family_mismatch;
mod half_mated;
mod key_mismatch;
mod mirrored_face;
mod position_mismatch;
mod ring_mismatch;
mod swapped_mating;
mod swapped_signals;
mod wrong_port;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[
    &contact_mismatch::RULE,
    &family_mismatch::RULE,
    &half_mated::RULE,
    &key_mismatch::RULE,
    &mirrored_face::RULE,
    &position_mismatch::RULE,
    &ring_mismatch::RULE,
    &swapped_mating::RULE,
    &swapped_signals::RULE,
    &wrong_port::RULE,
];
