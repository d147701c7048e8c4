//! Keys that name several pins at once.

use crate::text::{Name, Names};

/// The labels that a key of pins names: itself, where it is not a range or a list.
pub(super) fn expand(_: &mut Names, key: Name) -> Vec<Name> {
    vec![key]
}
