//! Whether contacts, terminals and seals suit what they hold.

use super::Rule;

mod above_rated_current;
mod over_current;
mod peak_over_rating;
mod unsealed;
mod wrong_terminal;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] =
    &[&above_rated_current::RULE, &over_current::RULE, &peak_over_rating::RULE, &unsealed::RULE, &wrong_terminal::RULE];
