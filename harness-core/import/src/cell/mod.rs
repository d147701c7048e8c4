//! What the text of one cell means: pure functions, one file a kind of cell.
//!
//! A cell that can't be read gives a sentence that says why; nothing is guessed of it.

mod colour;
mod doubt;
mod element;
mod length;
mod number;
mod points;
mod size;
mod state;

pub use colour::{Coloured, colour};
pub use doubt::{Doubted, doubt};
pub use element::{Element, element, rating};
pub use length::{LengthUnit, length};
pub use points::{End, Known, Plain, chain, plain};
pub(crate) use points::{is_cavity, is_ground, is_thread};

pub use size::{Size, SizeUnit, size};
pub use state::{State, state};
