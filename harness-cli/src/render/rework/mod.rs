//! The steps at the bench: as people read them and as JSON.

pub(crate) mod json;
pub mod text;

pub use json::write as json;
