//! Engineering pictures: what the core says laid out as a sheet of `harness_draw`, one file a kind of picture.

pub mod chain;
pub mod faces;
pub(crate) mod frame;
pub mod function;
pub mod gallery;
pub mod loom;
pub mod net;
pub mod plan;
pub mod power_tree;
mod spread;
mod stop;
mod symbols;
pub mod time_current;
pub mod timeline;
mod words;
