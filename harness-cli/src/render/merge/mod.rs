//! Where two branches collide: as people read it and as JSON.

pub(crate) mod json;
pub mod text;

pub use json::write as json;
