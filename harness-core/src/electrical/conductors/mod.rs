//! What is known and what is computed of each conductor: its properties, its load, its temperature, what it loses.

pub(super) mod bed;
pub mod bundle;
pub mod conductor;
pub mod drop;
pub mod given;
pub(super) mod installation;
pub mod joint;
pub(super) mod load;
pub(super) mod neighbours;
pub mod parallel;
pub(super) mod passing;
pub mod side_by_side;
pub(super) mod thermal;
pub mod upsize;

pub use bundle::Bundle;
pub use given::{Given, GivenBy};
pub use load::WireLoad;
pub use neighbours::{Neighbour, Neighbours};
pub use thermal::Hot;
