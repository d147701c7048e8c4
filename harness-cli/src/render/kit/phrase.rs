//! Counts and lists in running text.

/// `1 change`, `2 changes`.
pub(crate) fn counted(number: usize, one: &str) -> String {
    format!("{number} {one}{}", if number == 1 { "" } else { "s" })
}
