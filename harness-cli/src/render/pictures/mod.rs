//! Engineering pictures: what the core says laid out as a sheet of `harness_draw`, one file a kind of picture.

pub mod function;
pub mod power_tree;
mod words;
