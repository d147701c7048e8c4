//! The rules: pure functions over an analysed design, one file each.

pub use crate::rule::Rule;

/// Every rule, sorted by name: those of reading and resolving and those of checking.
#[must_use]
pub fn all() -> Vec<&'static Rule> {
    crate::document::faults::FAULTS.to_vec()
}
