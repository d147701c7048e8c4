//! What flows: the operating state of a circuit, and what follows from it.

pub mod circuit;
pub mod solve;
