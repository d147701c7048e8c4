//! What is live: as text, as comma-separated values, as JSON.

mod csv;
pub(crate) mod json;
pub(crate) mod text;

pub use csv::write as csv;
pub use json::write as json;
pub use text::write as text;
