//! What bad input gets: each kind of mistake is told at its place, with the words that put it right, all in one run.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a test fails by panicking"
)]

#[path = "bad_input/expect.rs"]
mod expect;
#[path = "bad_input/files.rs"]
mod files;
#[path = "bad_input/quantities.rs"]
mod quantities;
#[path = "bad_input/text.rs"]
mod text;
#[path = "bad_input/words.rs"]
mod words;
