//! What bad input gets: each kind of mistake is told at its place, with the words that put it right, all in one run.

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
