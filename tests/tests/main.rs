//! All tests of the project that look at it from outside, as one program, by level.
//!
//! `cargo test -p harness-tests oracle::` runs one level. What several levels need is in the library beside this program.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a test fails by panicking"
)]

mod bad_input;
mod browser;
mod diff;
mod editor;
mod house;
mod import;
mod oracle;
mod papers;
mod program;
mod properties;
mod published;
mod render;
mod repository;
mod rework;
mod rules;
mod slips;
mod views;
