//! What the text of one cell means: pure functions, one file a kind of cell.
//!
//! A cell that can't be read gives a sentence that says why; nothing is guessed of it.

mod both;
mod colour;
mod doubt;
mod element;
mod ground;
mod known;
mod length;
mod number;
mod pieces;
mod points;
mod size;
mod state;

pub use both::{is_bare_size_and_colour, size_and_colour};
pub(crate) use colour::striped;
pub use colour::{Coloured, colour};
pub use doubt::{Doubted, doubt};
pub use element::{Element, element, rating};
pub(crate) use ground::{is_ground, is_ground_place};
pub use known::Known;
pub use length::{LengthUnit, length};
pub(crate) use pieces::{is_cavity, is_thread};
pub(crate) use points::whole;
pub use points::{End, Plain, chain, plain};
pub(crate) use size::are_areas;
pub use size::{Size, SizeUnit, size};
pub use state::{State, state, state_in_note};
