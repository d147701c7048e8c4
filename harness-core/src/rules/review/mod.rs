//! What could not be checked and why, what is still open, and what may not come back.

mod empty_design;
mod missing_fact;
mod retired_number;
mod stale_waiver;
mod unbound_waiver;
mod unsure_fact;

use super::Rule;

/// The rules of the group that look at a design, sorted by name.
pub(super) static RULES: &[&Rule] = &[&empty_design::RULE, &missing_fact::RULE, &retired_number::RULE, &unsure_fact::RULE];

/// The rules that look at the findings of all others; `review` in the crate runs them.
pub(crate) use stale_waiver::RULE as STALE_WAIVER;
pub(crate) use unbound_waiver::RULE as UNBOUND_WAIVER;
