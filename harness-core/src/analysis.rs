//! A design with everything that was computed for it, once, for all rules.

use crate::{electrical::Electrical, model::Model, network::Network};

/// An analysed design.
#[derive(Debug)]
pub struct Analysis<'a> {
    /// The resolved design.
    pub model: &'a Model,
    /// Who is joined to whom.
    pub network: &'a Network,
    /// What flows, in every mode that was asked for.
    pub electrical: &'a Electrical,
}
