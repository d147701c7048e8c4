//! Bringing a vehicle to life: what is done in which order, in which state, what a meter shows then, when to stop, and who may do it.

mod order;
mod readings;
mod vehicle;

pub use order::{Act, Phase, Planned, Watched};
pub use readings::{Expected, How, Place, Read};

use crate::analysis::Analysis;

/// The order of a design with ids; empty where no mode was computed.
#[must_use]
pub fn plan(analysis: &Analysis) -> Vec<Planned> {
    vehicle::Vehicle::new(analysis.facts()).map_or_else(Vec::new, |vehicle| order::order(&vehicle))
}
