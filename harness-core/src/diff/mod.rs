//! Two revisions of a design side by side.

pub mod effect;
pub mod renames;
