//! Where two branches collide: as people read it and as JSON.

mod json;
pub mod text;

pub use json::write as json;
