//! How a voltage domain is named and what figures say of it.

use crate::{
    model::{Domain, Model},
    standards::voltage::class_a_limit,
};

/// `traction` (up to 350 V DC)
#[must_use]
pub fn domain_words(model: &Model, domain: &Domain) -> String {
    format!("`{}` (up to {} {})", model.text(domain.name), domain.max, kind(domain))
}

/// A domain as a figure.
#[must_use]
pub fn domain_figure(model: &Model, domain: &Domain) -> String {
    format!(
        "`{}`: {} {} nominal, {} highest, {}",
        model.text(domain.name),
        domain.nominal,
        kind(domain),
        domain.max,
        domain.class()
    )
}

/// The limit between the voltage classes as a figure.
#[must_use]
pub fn class_figure(domain: &Domain) -> String {
    format!("up to {}", class_a_limit(domain.ac))
}

fn kind(domain: &Domain) -> &'static str {
    if domain.ac { "AC" } else { "DC" }
}
