//! Loads of fuses and conductors: as tables, as comma-separated values, as JSON.

mod csv;
pub(crate) mod json;
mod rows;
mod table;

pub use csv::write as csv;
pub use json::write as json;
pub use table::write as table;
