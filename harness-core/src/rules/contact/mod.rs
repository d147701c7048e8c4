//! Whether contacts, terminals and seals suit what they hold.

use super::Rule;

mod over_current;
mod unsealed;
mod wrong_terminal;

/// The rules of the group, sorted by name.
pub(super) static RULES: &[&Rule] = &[&over_current::RULE, &unsealed::RULE, &wrong_terminal::RULE];
