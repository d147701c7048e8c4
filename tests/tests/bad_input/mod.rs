//! What bad input gets: each kind of mistake is reported at its place, with the words that put it right, all in one run.

mod bounds;
mod expect;
mod files;
mod like;
mod names;
mod quantities;
mod ranges;
mod safety;
mod text;
mod worded;
mod words;
