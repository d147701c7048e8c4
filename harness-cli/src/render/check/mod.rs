//! What `harness check` found, one file an output format.

pub mod annotations;
pub mod full;
mod json;
pub mod junit;
mod members;
pub mod report_json;
pub mod reviewed;
pub mod sarif;
mod sarif_model;
pub mod short;
pub mod summary;

pub use json::write as json;
