//! The steps at the bench: as people read them and as JSON.

mod json;
pub mod text;

pub use json::write as json;
