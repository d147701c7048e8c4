//! What a string of a battery is called.

use crate::{electrical::battery::Chain, model::Model};

/// `pack.module1`, or `pack.module1` .. `pack.module6` for a chain of several.
#[must_use]
pub fn chain_name(model: &Model, chain: &Chain) -> String {
    let mut modules = chain.modules().map(|module| format!("`{}`", model.element_name(module)));
    match (modules.next(), modules.next_back()) {
        (Some(first), Some(last)) => format!("{first} .. {last}"),
        (Some(only), None) => only,
        (None, _) => String::new(),
    }
}
