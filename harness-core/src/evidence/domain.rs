//! How a voltage domain is named and what figures say of it.

use crate::{
    model::{Domain, DomainId, Model},
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

/// `bus` (48 V); with AC or DC beside a domain that is of the other.
#[must_use]
pub fn nominal_words(model: &Model, domain: DomainId, beside: DomainId) -> String {
    let item = &model[domain];
    let kind = if item.ac == model[beside].ac { String::new() } else { format!(" {}", kind(item)) };
    format!("`{}` ({}{kind})", model.text(item.name), item.nominal)
}

fn kind(domain: &Domain) -> &'static str {
    if domain.ac { "AC" } else { "DC" }
}
