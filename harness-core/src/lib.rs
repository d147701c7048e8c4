//! Checks wiring-harness netlists.
#![forbid(unsafe_code)]
#![warn(missing_docs)]

pub mod finding;
pub mod quantity;
pub mod text;
