//! What a string of a battery is called.

use crate::{electrical::battery::BatteryString, model::Model};

/// `pack.module1`, or `pack.module1` .. `pack.module6` for a string of several.
#[must_use]
pub fn string_name(model: &Model, string: &BatteryString) -> String {
    let mut modules = string.modules().map(|module| format!("`{}`", model.element_name(module)));
    match (modules.next(), modules.next_back()) {
        (Some(first), Some(last)) => format!("{first} .. {last}"),
        (Some(only), None) => only,
        (None, _) => String::new(),
    }
}
